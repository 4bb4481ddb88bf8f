package days

import (
	"math"
	"math/bits"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// invented makes a small problem: stops and homes on a square of 60 by 60
// minutes, so many crews and days.
func invented(chance *rand.Rand, stops, crews, days int) *problem {
	type xy struct{ x, y float64 }
	at := make([]xy, crews+stops)
	for i := range at {
		at[i] = xy{60 * chance.Float64(), 60 * chance.Float64()}
	}
	m := &matrix{n: len(at), minutes: make([]float64, len(at)*len(at)), symmetric: true}
	for i := range at {
		for j := range at {
			m.minutes[i*m.n+j] = math.Round(10*math.Hypot(at[i].x-at[j].x, at[i].y-at[j].y)) / 10
		}
	}
	p := &problem{m: m, minuteWorth: 1e-3}
	for c := range crews {
		for d := range days {
			p.routes = append(p.routes, route{crew: c, day: d, home: c, end: c, from: 0, until: 160 + 60*chance.Float64(), most: math.Inf(1)})
		}
	}
	for i := range stops {
		n := node{
			spot: crews + i, onSite: math.Round(10 + 25*chance.Float64()), must: chance.Float64() < 0.15,
			routes: make([]bool, len(p.routes)),
		}
		gain := 1 + math.Round(40*chance.Float64())
		for d := range days {
			v := gain - 0.3*float64(d)
			if n.must {
				v += 1000 - float64(d)
			}
			n.value = append(n.value, v)
			if chance.Float64() < 0.4 {
				from := int(80 * chance.Float64())
				n.open = append(n.open, []Window{{from, from + 50}, {from + 90, from + 150}})
			} else {
				n.open = append(n.open, []Window{{0, 1440}})
			}
		}
		for r := range n.routes {
			n.routes[r] = chance.Float64() < 0.85
		}
		p.nodes = append(p.nodes, n)
	}
	return p
}

// bestByRoute is the best worth of every set of stops on one route, by dynamic
// programming over sets and last stops: for each the earliest departure and the
// fewest minutes among orders in time. Driving counts so little against gains
// that all pairs of (departure, minutes) nobody beats are kept.
func bestByRoute(p *problem, r int) []float64 {
	type label struct{ depart, minutes float64 }
	x := &p.routes[r]
	n := len(p.nodes)
	labels := make([][][]label, 1<<n)
	add := func(set, last int, l label) {
		if labels[set] == nil {
			labels[set] = make([][]label, n)
		}
		kept := labels[set][last][:0]
		for _, o := range labels[set][last] {
			if o.depart <= l.depart && o.minutes <= l.minutes {
				return
			}
			if !(l.depart <= o.depart && l.minutes <= o.minutes) {
				kept = append(kept, o)
			}
		}
		labels[set][last] = append(kept, l)
	}
	step := func(set, k, from int, now, driven float64) {
		if !p.nodes[k].routes[r] || set>>k&1 == 1 {
			return
		}
		d := p.m.at(from, p.nodes[k].spot)
		if b := p.begin(k, x.day, now+d); !math.IsInf(b, 1) {
			add(set|1<<k, k, label{b + p.nodes[k].onSite, driven + d})
		}
	}
	for k := range n {
		step(0, k, x.home, x.from, 0)
	}
	best := make([]float64, 1<<n)
	for set := 1; set < 1<<n; set++ {
		best[set] = math.Inf(-1)
		for last := range labels[set] {
			for _, l := range labels[set][last] {
				back := p.m.at(p.nodes[last].spot, x.end)
				if l.depart+back > x.until+1e-9 {
					continue
				}
				value := 0.0
				for k := range n {
					if set>>k&1 == 1 {
						value += p.nodes[k].value[x.day]
					}
				}
				best[set] = math.Max(best[set], value-p.minuteWorth*(l.minutes+back))
				for k := range n {
					step(set, k, p.nodes[last].spot, l.depart, l.minutes)
				}
			}
		}
	}
	return best
}

// exact is the best worth of a problem, by sharing sets out among the routes.
func exact(p *problem) float64 {
	n := len(p.nodes)
	all := make([]float64, 1<<n)
	for r := range p.routes {
		one, next := bestByRoute(p, r), make([]float64, 1<<n)
		for set := range next {
			next[set] = all[set]
			for sub := set; sub > 0; sub = (sub - 1) & set {
				next[set] = math.Max(next[set], one[sub]+all[set&^sub])
			}
		}
		all = next
	}
	best := all[0]
	for _, v := range all {
		best = math.Max(best, v)
	}
	return best
}

// The search finds what counting out every plan finds: up to ten stops, one to
// four crew days, with windows, stops that have to be seen, and routes closed to
// some. The answers come from exact above, which shares no code with the search
// but the minutes and the hours.
func TestSearchIsExactOnSmallProblems(t *testing.T) {
	seeds, iterations := uint64(60), 600
	if os.Getenv("FLUEDRIFT_LONG") != "" {
		seeds, iterations = 300, 2000
	}
	for seed := range seeds {
		chance := rand.New(rand.NewPCG(seed, 7))
		stops, crews, days := 4+int(seed%7), 1+int(seed%2), 1+int(seed/2%2)
		p := invented(chance, stops, crews, days)
		s := p.search(iterations)
		held(t, s)
		require.InDelta(t, exact(p), s.worth(), 1e-6, "seed %d: %d stops, %d routes", seed, stops, len(p.routes))
	}
}

// held sees that a state is what its routes say.
func held(t *testing.T, s *state) {
	t.Helper()
	seen := map[int]int{}
	for r := range s.tours {
		minutes, ok := s.p.possible(r, s.tours[r].stops)
		require.True(t, ok, "route %d is out of time", r)
		require.InDelta(t, minutes, s.tours[r].minutes, 1e-6)
		for _, n := range s.tours[r].stops {
			_, twice := seen[n]
			require.False(t, twice, "stop %d is seen twice", n)
			require.True(t, s.p.nodes[n].routes[r])
			seen[n] = r
			assert.Equal(t, r, s.where[n])
		}
	}
	for n, r := range s.where {
		if r < 0 {
			require.NotContains(t, seen, n)
		}
	}
}

// The exact answer itself is held to one that needs no thought: the shortest
// round of a square's corners is its four sides.
func TestExactOnASquare(t *testing.T) {
	p := &problem{m: &matrix{n: 4, symmetric: true}, minuteWorth: 1}
	corner := [][2]float64{{0, 0}, {10, 0}, {10, 10}, {0, 10}}
	for _, a := range corner {
		for _, b := range corner {
			p.m.minutes = append(p.m.minutes, math.Hypot(a[0]-b[0], a[1]-b[1]))
		}
	}
	p.routes = []route{{until: 1000, most: math.Inf(1)}}
	for i := 1; i < 4; i++ {
		p.nodes = append(p.nodes, node{spot: i, value: []float64{100}, routes: []bool{true}})
	}
	assert.InDelta(t, 300-40, exact(p), 1e-9)
	assert.InDelta(t, 300-40, p.search(10).worth(), 1e-9)
	assert.Equal(t, 3, bits.OnesCount(7))
}

// The same problem gives the same plan.
func TestSearchRepeats(t *testing.T) {
	p := invented(rand.New(rand.NewPCG(3, 3)), 60, 2, 3)
	a, b := p.search(300), p.search(300)
	for r := range a.tours {
		require.Equal(t, a.tours[r].stops, b.tours[r].stops)
	}
}
