package days

import (
	"math"
	"math/rand/v2"
	"slices"
)

// board keeps the cheapest insertion of every node that is in no route, so that
// after a change only the changed routes are looked at again.
type board struct {
	s     *state
	table []insertion // node x route
	free  []int       // nodes in no route
	best  []choice    // by node
	lean  []float64   // chance's hand in the choice, by node
	slant []float64   // and by route
	early float64     // what the day counts against driving where something has to be seen
	power power
	touch func(r int) // told before a route changes; may be nil
}

// power says how minutes count against gain.
type power int

// Gain by minute is how a plan is begun; the others vary what is inserted anew.
const (
	byMinute power = iota
	byRoot
	byGain
	bySquare
)

// choice is the route a free node would go to and what speaks for it.
type choice struct {
	route int
	rank  float64
}

func newBoard(s *state) *board {
	b := &board{
		s: s, table: make([]insertion, len(s.p.nodes)*len(s.p.routes)),
		best: make([]choice, len(s.p.nodes)), lean: make([]float64, len(s.p.nodes)),
		slant: make([]float64, len(s.p.routes)), early: earlyFirst,
	}
	for r := range b.slant {
		b.slant[r] = 1
	}
	for n := range s.p.nodes {
		b.lean[n] = 1
		if s.where[n] < 0 {
			b.free = append(b.free, n)
			b.lookAll(n)
		}
	}
	return b
}

// lookAll finds a node's cheapest places in all routes.
func (b *board) lookAll(n int) {
	at := n * len(b.s.p.routes)
	for r := range b.s.p.routes {
		b.table[at+r] = b.s.cheapest(n, r)
	}
}

// lookAt finds the cheapest places of all free nodes in one route.
func (b *board) lookAt(r int) {
	routes := len(b.s.p.routes)
	for _, n := range b.free {
		b.table[n*routes+r] = b.s.cheapest(n, r)
	}
}

// release makes nodes free that were taken out of routes.
func (b *board) release(nodes []int) {
	for _, n := range nodes {
		b.free = append(b.free, n)
		b.lookAll(n)
	}
}

// rank says what speaks for a node in a route: has-to-be-seen above all, then
// the gain by added minute; the driving of a node that has to be seen counts
// against its day.
func (b *board) rank(n, r int) float64 {
	in := b.table[n*len(b.s.p.routes)+r]
	if in.at < 0 {
		return math.Inf(-1)
	}
	v := &b.s.p.nodes[n]
	if v.must {
		return v.value[b.s.p.routes[r].day]*b.early - in.added*b.lean[n]*b.slant[r]
	}
	gain := v.value[b.s.p.routes[r].day] * b.lean[n] * b.slant[r]
	cost := math.Max(in.added, 0) + v.onSite + 1e-3
	switch b.power {
	case byGain:
		return gain
	case byRoot:
		return gain / math.Sqrt(cost)
	case bySquare:
		return gain / (cost * cost)
	}
	return gain / cost
}

// choose finds a free node's best route.
func (b *board) choose(n int) {
	c := choice{-1, math.Inf(-1)}
	for r := range b.s.p.routes {
		if k := b.rank(n, r); k > c.rank {
			c = choice{r, k}
		}
	}
	b.best[n] = c
}

// fill inserts free nodes, the best by gain a minute first, until none fits. It
// returns the routes it changed. Nodes that have to be seen go first, in the
// order of their own ranks; with an order given, in that.
func (b *board) fill(first []int) (changed []int) {
	for _, n := range b.free {
		b.choose(n)
	}
	for _, n := range first {
		if c := b.best[n]; b.s.where[n] < 0 && c.route >= 0 {
			changed = b.put(n, c.route, changed)
		}
	}
	for {
		pick := choice{-1, math.Inf(-1)}
		node := -1
		for _, n := range b.free {
			if c := b.best[n]; c.route >= 0 && (c.rank > pick.rank || c.rank == pick.rank && n < node) {
				pick, node = c, n
			}
		}
		if node < 0 {
			return changed
		}
		changed = b.put(node, pick.route, changed)
	}
}

// put inserts a node and looks at the changed route again.
func (b *board) put(n, r int, changed []int) []int {
	if b.touch != nil {
		b.touch(r)
	}
	b.s.insert(n, r, int(b.table[n*len(b.s.p.routes)+r].at))
	b.free = slices.DeleteFunc(b.free, func(x int) bool { return x == n })
	b.lookAt(r)
	for _, x := range b.free {
		if b.best[x].route == r {
			b.choose(x)
		} else if k := b.rank(x, r); k > b.best[x].rank {
			b.best[x] = choice{r, k}
		}
	}
	if !slices.Contains(changed, r) {
		changed = append(changed, r)
	}
	return changed
}

// earlyFirst lets the day of what has to be seen go before any driving.
const earlyFirst = 1e3

// stir draws the lean of chance for one filling.
func (b *board) stir(chance *rand.Rand, strength float64) {
	for _, n := range b.free {
		b.lean[n] = 1 + strength*(2*chance.Float64()-1)
	}
	for r := range b.slant {
		b.slant[r] = 1 + strength*(2*chance.Float64()-1)
	}
}
