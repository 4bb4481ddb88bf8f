package hindsight

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"
	"sync/atomic"
)

// Figure is a measure with the 90 % interval of resampling sites.
type Figure struct{ Value, Low, High float64 }

// units are cases by unit and origin: what an order is judged by.
type units struct {
	y      []float64
	site   []int
	sites  int
	n      int
	values [ways][]float64 // the larger of the fires
	strata []stratum       // one an origin
}

// stratum is one origin's units, in ascending order by each way.
type stratum struct{ order [ways][]int }

// byUnit puts the fires of a unit together: outside where one was, and as high in
// the order as the higher. Cases come by origin and unit.
func byUnit(cases []Case) *units {
	u := &units{}
	sites, from := map[string]int{}, 0
	for i := range cases {
		c := &cases[i]
		fresh := i == 0 || cases[i-1].Origin != c.Origin || cases[i-1].Serial != c.Serial
		if i > 0 && cases[i-1].Origin != c.Origin {
			u.close(from)
			from = u.n
		}
		if fresh {
			u.y, u.site, u.n = append(u.y, 0), append(u.site, siteOf(sites, c)), u.n+1
			for w := range u.values {
				u.values[w] = append(u.values[w], math.Inf(-1))
			}
		}
		k := u.n - 1
		if c.Out {
			u.y[k] = 1
		}
		for w := range u.values {
			u.values[w][k] = math.Max(u.values[w][k], c.Order[w])
		}
	}
	if u.n > from {
		u.close(from)
	}
	u.sites = len(sites)
	return u
}

// siteOf numbers the sites; a unit without one is a site of its own.
func siteOf(sites map[string]int, c *Case) int {
	name := c.Site
	if name == "" {
		name = "\x00" + c.Serial
	}
	k, ok := sites[name]
	if !ok {
		k = len(sites)
		sites[name] = k
	}
	return k
}

// close orders the units from one on as an origin.
func (u *units) close(from int) {
	var s stratum
	for w := range u.values {
		order := ascending(u.values[w][from:])
		for i := range order {
			order[i] += from
		}
		s.order[w] = order
	}
	u.strata = append(u.strata, s)
}

// auc is over the pairs within origins.
func (u *units) auc(w Way, weight []float64) float64 {
	sum, pairs := 0.0, 0.0
	for i := range u.strata {
		order := u.strata[i].order[w]
		in, off := 0.0, 0.0
		for _, k := range order {
			in, off = in+of(weight, k)*(1-u.y[k]), off+of(weight, k)*u.y[k]
		}
		if in > 0 && off > 0 {
			sum, pairs = sum+auc(u.values[w], u.y, weight, order)*in*off, pairs+in*off
		}
	}
	return sum / pairs
}

// precision takes the first of each origin: a share, or a number.
func (u *units) precision(w Way, weight []float64, share, number float64) float64 {
	hits, n := 0.0, 0.0
	for i := range u.strata {
		order := u.strata[i].order[w]
		all := 0.0
		for _, k := range order {
			all += of(weight, k)
		}
		first := all * share
		if number > 0 {
			first = math.Min(number, all)
		}
		if first > 0 {
			hits, n = hits+first*precision(u.values[w], u.y, weight, order, first), n+first
		}
	}
	return hits / n
}

// resampler draws sites with replacement, the same ones for every measure, so
// that differences are paired.
type resampler struct {
	draws   [][]float64 // weights of sites
	workers int
}

func newResampler(sites int, s Config) *resampler {
	r := rand.New(rand.NewPCG(s.Seed, 9))
	out := &resampler{draws: make([][]float64, s.Draws), workers: s.Workers}
	for d := range out.draws {
		w := make([]float64, sites)
		for range sites {
			w[r.IntN(sites)]++
		}
		out.draws[d] = w
	}
	return out
}

// figures measures several things at once on all cases and on every draw, the
// draws shared among workers. What measures must not keep the weights.
func (r *resampler) figures(site []int, measure func(weight []float64) []float64) []Figure {
	whole := measure(nil)
	all := make([][]float64, len(r.draws))
	share(len(r.draws), r.workers, func() func(int) {
		weight := make([]float64, len(site))
		return func(d int) {
			for i, s := range site {
				weight[i] = r.draws[d][s]
			}
			all[d] = measure(weight)
		}
	})
	out, drawn := make([]Figure, len(whole)), make([]float64, 0, len(all))
	for k := range whole {
		drawn = drawn[:0]
		for _, one := range all {
			if !math.IsNaN(one[k]) {
				drawn = append(drawn, one[k])
			}
		}
		out[k] = Figure{whole[k], quantile(drawn, 0.05), quantile(drawn, 0.95)}
	}
	return out
}

// share shares parts 0 to n-1 among workers. begin is called once a worker, for
// space of its own; each part must leave what it makes in a place of its own, so
// that the number of workers changes nothing.
func share(n, workers int, begin func() (part func(int))) {
	var next atomic.Int32
	var wg sync.WaitGroup
	for range max(workers, 1) {
		wg.Go(func() {
			part := begin()
			for k := int(next.Add(1)) - 1; k < n; k = int(next.Add(1)) - 1 {
				part(k)
			}
		})
	}
	wg.Wait()
}

// quantile sorts v and reads a share of it; NaN of nothing.
func quantile(v []float64, share float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	slices.Sort(v)
	at := share * float64(len(v)-1)
	k := int(at)
	if k+1 == len(v) {
		return v[k]
	}
	return v[k] + (at-float64(k))*(v[k+1]-v[k])
}
