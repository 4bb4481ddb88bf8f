package estimate_test

import (
	"context"
	"fmt"
	"math"
	"os"
	"sort"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// estimated invents a world and estimates it by the demo's rules with changes.
func estimated(t testing.TB, seed uint64, units int, w demo.World, changes ...func(*estimate.Config)) *world {
	t.Helper()
	o := invented(seed, units, w)
	r := rulesFor(t, o.histories)
	for _, change := range changes {
		change(&r)
	}
	var err error
	o.rules = r
	o.out, err = estimate.Run(context.Background(), o.histories, r)
	require.NoError(t, err)
	return o
}

// demoFleets are estimated once: several tests look at the same fleets of the
// demo's world. Whoever gets one changes nothing in it.
var demoFleets = struct {
	sync.Mutex
	made map[string]*world
}{made: map[string]*world{}}

// demoFleet is estimated for the demo's world, quick. The long suite, whose fleets
// are many and large, keeps none.
func demoFleet(t testing.TB, seed uint64, units int) *world {
	t.Helper()
	if os.Getenv("FLUEDRIFT_LONG") != "" {
		return estimated(t, seed, units, demo.Default(), quick)
	}
	demoFleets.Lock()
	defer demoFleets.Unlock()
	key := fmt.Sprint(seed, units)
	if demoFleets.made[key] == nil {
		demoFleets.made[key] = estimated(t, seed, units, demo.Default(), quick)
	}
	return demoFleets.made[key]
}

// invented is a world before it is estimated.
func invented(seed uint64, units int, w demo.World) *world {
	return worldOf(worlds.Demo(demo.Options{Units: units, Years: 12, Seed: seed, AsOf: asOf, World: w}))
}

// worldOf takes the histories of a fleet.
func worldOf(f *worlds.DemoFleet) *world {
	o := &world{fleet: f}
	values := f.Histories()
	bySerial := map[string]int{}
	for u := range f.Len() {
		bySerial[f.Serial(u)] = u
	}
	for i := range values {
		o.histories = append(o.histories, &values[i])
		u, ok := bySerial[values[i].Unit.Serial]
		if !ok {
			u = -1
		}
		o.units = append(o.units, u)
	}
	return o
}

// judgement of a ranking of units against the truth of the as-of day.
type ranking struct {
	top5, top10, auc, ece float64
	mean, base            float64 // mean probability, share truly outside
}

// rank measures a ranking: p is a probability, or for a simple rule any number
// that grows with it.
func rank(p []float64, out []bool) ranking {
	order := make([]int, len(p))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return p[order[a]] > p[order[b]] })
	n := len(p)
	var r ranking
	share := func(k int) float64 {
		s := 0.0
		for _, i := range order[:k] {
			if out[i] {
				s++
			}
		}
		return s / float64(k)
	}
	r.top5, r.top10, r.base = share(max(n/20, 1)), share(max(n/10, 1)), share(n)
	r.auc = auc(order, p, out)
	for d := range 10 {
		sum, k := 0.0, 0.0
		for _, i := range order[d*n/10 : (d+1)*n/10] {
			sum += p[i]
			if out[i] {
				k++
			}
		}
		r.ece += math.Abs(sum-k) / float64(n)
		r.mean += sum / float64(n)
	}
	return r
}

// auc is the chance that a unit outside stands above one inside, ties half.
func auc(order []int, p []float64, out []bool) float64 {
	above, total, inside, outside := 0.0, 0.0, 0.0, 0.0
	for at := 0; at < len(order); {
		end := at
		in, off := 0.0, 0.0
		for ; end < len(order) && p[order[end]] == p[order[at]]; end++ {
			if out[order[end]] {
				off++
			} else {
				in++
			}
		}
		above += in * (outside + off/2)
		inside, outside = inside+in, outside+off
		at = end
	}
	total = inside * outside
	return above / total
}

// ranked measures the estimate's own ranking, and the simple rules' on the same
// units.
func (o *world) ranked() (own ranking, simple map[string]ranking) {
	judged := o.judged()
	at := map[int]int{}
	for i, u := range o.units {
		at[u] = i
	}
	p, out := make([]float64, len(judged)), make([]bool, len(judged))
	rules := map[string][]float64{}
	mean := o.meanDrift()
	for k, u := range judged {
		p[k], out[k] = u.p, u.out
		for name, v := range o.simpleRules(o.histories[at[u.unit]], mean) {
			rules[name] = append(rules[name], v)
		}
	}
	simple = map[string]ranking{}
	for name, v := range rules {
		simple[name] = rank(v, out)
	}
	return rank(p, out), simple
}

// rankedWhere measures the ranking among some units only.
func (o *world) rankedWhere(some func(h *judge.History) bool) ranking {
	at := map[int]int{}
	for i, u := range o.units {
		at[u] = i
	}
	var p []float64
	var out []bool
	for _, u := range o.judged() {
		if some(o.histories[at[u.unit]]) {
			p, out = append(p, u.p), append(out, u.out)
		}
	}
	return rank(p, out)
}

// fieldReadings visits the credible readings of a history at one fire, in order.
func (o *world) fieldReadings(h *judge.History, fire judge.Fire, each func(x *judge.Reading, deviation float64)) {
	r := o.rules
	for i := range h.Readings {
		x := &h.Readings[i]
		if x.Fire != fire || h.Visits[x.Visit].Reason == judge.FactoryTest || x.Condition == judge.Between {
			continue
		}
		if d := r.Judge.Deviation(x); !math.IsNaN(d) {
			each(x, d)
		}
	}
}

// meanDrift is the mean change a year from an as-left reading to the next as found, by
// control and fire.
func (o *world) meanDrift() map[string]float64 {
	sum, years := map[string]float64{}, map[string]float64{}
	for _, h := range o.histories {
		for _, t := range h.Targets {
			var last *judge.Reading
			was := 0.0
			o.fieldReadings(h, t.Fire, func(x *judge.Reading, d float64) {
				if last != nil && last.Condition == judge.AsLeft && x.Condition == judge.AsFound && x.Day > last.Day && math.Abs(d-was) < 1.5 {
					k := string(h.Unit.Control) + string(t.Fire)
					sum[k], years[k] = sum[k]+d-was, years[k]+float64(x.Day-last.Day)/365.25
				}
				last, was = x, d
			})
		}
	}
	for k := range sum {
		sum[k] /= years[k]
	}
	return sum
}

// simpleRules are what a planner could do without a model: days since the last
// visit, the last deviation, the unit's own line through its readings, and the
// last deviation carried on at the mean drift of its control, all over the band.
func (o *world) simpleRules(h *judge.History, mean map[string]float64) map[string]float64 {
	out := map[string]float64{"days": 0, "last": 0, "line": 0, "mean": 0}
	if n := len(h.Visits); n > 0 {
		out["days"] = float64(asOf - h.Visits[n-1].Day)
	} else {
		out["days"] = 1e4
	}
	for _, t := range h.Targets {
		band, _ := o.rules.Judge.Action(&t.Target, h.Unit.Fuel)
		over := func(y float64) float64 { return math.Max(y/band.Rich, y/band.Lean) }
		var last, rate float64
		var at day.Day
		n, since := 0, 0.0
		was, from, have := 0.0, day.None, false
		o.fieldReadings(h, t.Fire, func(x *judge.Reading, d float64) {
			if have && x.Condition == judge.AsFound && x.Day > from {
				rate += d - was
				since += float64(x.Day-from) / 365.25
			}
			was, from, have = d, x.Day, true
			last, at, n = d, x.Day, n+1
		})
		if n == 0 || math.IsNaN(band.Rich) {
			continue
		}
		ahead := float64(asOf-at) / 365.25
		slope := 0.0
		if since > 0 {
			slope = rate / since
		}
		out["last"] = math.Max(out["last"], over(last))
		out["line"] = math.Max(out["line"], over(last+slope*ahead))
		out["mean"] = math.Max(out["mean"], over(last+mean[string(h.Unit.Control)+string(t.Fire)]*ahead))
	}
	return out
}

// demoWith is the demo's world with something changed.
func demoWith(change func(w *demo.World)) demo.World {
	w := demo.Default()
	change(&w)
	return w
}

// plainWith is the model's world with something changed.
func plainWith(change func(w *demo.World)) demo.World {
	w := modelsWorld()
	change(&w)
	return w
}

// without leaves a remedy out.
func without(m estimate.Remedy) func(*estimate.Config) {
	return func(r *estimate.Config) { r.LeaveOut(m) }
}
