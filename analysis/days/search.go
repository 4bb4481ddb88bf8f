package days

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// Figures of the search, found by trying on instances with known optima.
const (
	seed           = 20260302
	nearestKept    = 160 // neighbours of a node
	looked         = 40  // free neighbours that may come in
	lookAtAll      = 150 // iterations after which all free nodes may
	mostDropped    = 14  // stops dropped at once
	mostStretches  = 4   // in so many stretches
	longRoute      = 25  // stops above which a route is improved only now and then
	nowAndThen     = 200 // iterations
	startHeat      = 0.3 // of the mean worth of a stop
	endHeat        = 0.03
	strongestLean  = 0.4
	exchangeEvery  = 25
	withoutMinutes = 1e-12
)

// searcher is one search.
type searcher struct {
	p      *problem
	s      *state
	b      *board
	chance *rand.Rand
	near   [][]int
	before []saved // what the routes changed in this iteration were
}

// search fills the routes: insertion, local search, then drop-and-reinsert for
// so many iterations. Worse plans are taken for a while with a probability that
// shrinks (threshold by exp(-loss/heat)); the best plan seen is returned.
func (p *problem) search(iterations int) *state {
	x := &searcher{p: p, s: newState(p), chance: rand.New(rand.NewPCG(seed, seed))}
	x.b = newBoard(x.s)
	x.b.fill(x.mustFirst())
	x.settle(allRoutes(p))
	best, bestWorth := x.s.clone(), x.s.worth()
	if len(p.nodes) < 2 || len(p.routes) == 0 {
		return best
	}
	x.near = make([][]int, len(p.nodes))
	now := bestWorth
	heat := startHeat * x.scale()
	cool := math.Pow(endHeat/startHeat, 1/math.Max(float64(iterations), 1))
	x.b.touch = x.keep
	for i := range iterations {
		x.before = x.before[:0]
		was := 0.0
		x.s.blink = x.chance.Uint64() | 1
		x.drop(i%lookAtAll == lookAtAll-1)
		x.refill()
		x.s.blink = 0
		x.localSearch(i)
		next := now
		for _, s := range x.before {
			was += s.tour.value - p.minuteWorth*s.tour.minutes
			next += x.s.tourValue(s.route)
		}
		next -= was
		if next < now && x.chance.Float64() >= math.Exp((next-now)/heat) {
			x.undo()
		} else {
			now = next
		}
		if now > bestWorth+withoutMinutes {
			best, bestWorth = x.s.clone(), now
		}
		heat *= cool
	}
	x.s = best
	x.b = newBoard(x.s)
	x.settle(allRoutes(p))
	return x.s
}

func allRoutes(p *problem) []int {
	all := make([]int, len(p.routes))
	for r := range all {
		all[r] = r
	}
	return all
}

// mustFirst lists the nodes that have to be seen, those with the fewest routes
// first.
func (x *searcher) mustFirst() []int {
	var must []int
	choices := map[int]int{}
	for n := range x.p.nodes {
		if !x.p.nodes[n].must {
			continue
		}
		must = append(must, n)
		for r := range x.p.routes {
			if x.s.cheapest(n, r).at >= 0 {
				choices[n]++
			}
		}
	}
	slices.SortStableFunc(must, func(a, b int) int { return cmp.Compare(choices[a], choices[b]) })
	return must
}

// settle improves routes, exchanges between them and fills what got free, until
// nothing more comes of it.
func (x *searcher) settle(routes []int) {
	for {
		for _, r := range routes {
			x.s.improve(r)
		}
		changed := x.s.exchange(routes)
		for _, r := range routes {
			x.b.lookAt(r)
		}
		filled := x.b.fill(nil)
		if len(changed) == 0 && len(filled) == 0 {
			return
		}
	}
}

// scale is the mean worth of a stop in the plan, without what has to be seen.
func (x *searcher) scale() float64 {
	sum, n, minutes := 0.0, 0, 0.0
	for r := range x.s.tours {
		minutes += x.s.tours[r].minutes
		for _, k := range x.s.tours[r].stops {
			n++
			if v := &x.p.nodes[k]; !v.must {
				sum += v.value[x.p.routes[r].day]
			}
		}
	}
	return math.Max(sum+x.p.minuteWorth*minutes, withoutMinutes) / math.Max(float64(n), 1)
}

// saved is what a route was before a change.
type saved struct {
	route int
	tour  tour
}

// keep remembers a route before its first change.
func (x *searcher) keep(r int) {
	if !slices.ContainsFunc(x.before, func(s saved) bool { return s.route == r }) {
		x.before = append(x.before, saved{r, x.s.tours[r].clone()})
	}
}

// drop takes stretches of stops about a node and its neighbours out of their
// routes; two stretches may lie on one route. The free nodes that may come in are
// those dropped and those near, or all.
func (x *searcher) drop(all bool) {
	centre := x.chance.IntN(len(x.p.nodes))
	near := x.neighbours(centre)
	most := 1 + x.chance.IntN(mostDropped)
	stretches := 1 + x.chance.IntN(mostStretches)
	var gone []int
	try := func(n int) bool {
		r := x.s.where[n]
		if r < 0 {
			return false
		}
		x.keep(r)
		gone = append(gone, x.stretch(r, n, 1+(most-1)/stretches)...)
		return true
	}
	if try(centre) {
		stretches--
	}
	for _, n := range near {
		if stretches == 0 {
			break
		}
		if x.p.related(centre, n) && try(n) {
			stretches--
		}
	}
	x.b.free = x.b.free[:0]
	if x.s.where[centre] < 0 && !slices.Contains(gone, centre) {
		gone = append(gone, centre)
	}
	if all {
		gone = gone[:0]
		near = nil
		for n, r := range x.s.where {
			if r < 0 {
				gone = append(gone, n)
			}
		}
	}
	more := looked
	for _, n := range near {
		if more > 0 && x.s.where[n] < 0 && !slices.Contains(gone, n) {
			gone = append(gone, n)
			more--
		}
	}
	x.b.release(gone)
}

// neighbours are a node's nearest, found when first asked for.
func (x *searcher) neighbours(n int) []int {
	if x.near[n] == nil {
		x.near[n] = x.p.nearest(n, nearestKept)
	}
	return x.near[n]
}

// localSearch improves what an iteration changed; long routes, and exchanges
// between routes, only now and then.
func (x *searcher) localSearch(iteration int) {
	improved := false
	for _, s := range x.before {
		if len(x.s.tours[s.route].stops) <= longRoute || iteration%nowAndThen == nowAndThen-1 {
			if x.s.improve(s.route) {
				improved = true
				x.b.lookAt(s.route)
			}
		}
	}
	if len(x.before) > 1 && iteration%exchangeEvery == 0 {
		routes := make([]int, len(x.before))
		for i, s := range x.before {
			routes[i] = s.route
		}
		for _, r := range x.s.exchange(routes) {
			improved = true
			x.b.lookAt(r)
		}
	}
	if improved && len(x.b.free) > 0 {
		x.b.power = byMinute
		x.b.fill(nil)
	}
}

// related reports whether two nodes can be on one route.
func (p *problem) related(a, b int) bool {
	for r, ok := range p.nodes[a].routes {
		if ok && p.nodes[b].routes[r] {
			return true
		}
	}
	return false
}

// stretch takes up to so many stops about a node out of a route, now and then
// leaving some of them in.
func (x *searcher) stretch(r, n, most int) []int {
	t := &x.s.tours[r]
	size := 1 + x.chance.IntN(max(1, min(most, len(t.stops))))
	at := slices.Index(t.stops, n)
	from := max(0, at-x.chance.IntN(size))
	spare := x.chance.Float64() < 0.3
	out := map[int]bool{}
	for i := from; i < min(from+size, len(t.stops)); i++ {
		if spare && t.stops[i] != n && x.chance.Float64() < 0.4 {
			continue
		}
		out[t.stops[i]] = true
	}
	return x.s.removeFrom(r, func(n int) bool { return out[n] })
}

// refill inserts again with another weight of minutes and a lean of chance.
func (x *searcher) refill() {
	x.b.power = []power{byMinute, byMinute, byRoot, byGain, bySquare}[x.chance.IntN(5)]
	x.b.early = []float64{earlyFirst, 1, 0.1, 0}[x.chance.IntN(4)]
	x.b.stir(x.chance, strongestLean*x.chance.Float64())
	var must []int
	for _, n := range x.b.free {
		if x.p.nodes[n].must {
			must = append(must, n)
		}
	}
	x.chance.Shuffle(len(must), func(i, j int) { must[i], must[j] = must[j], must[i] })
	x.b.fill(must)
}

// undo puts changed routes back.
func (x *searcher) undo() {
	for _, s := range x.before {
		for _, n := range x.s.tours[s.route].stops {
			x.s.where[n] = -1
		}
	}
	for _, s := range x.before {
		x.s.tours[s.route] = s.tour
		for _, n := range s.tour.stops {
			x.s.where[n] = s.route
		}
	}
}
