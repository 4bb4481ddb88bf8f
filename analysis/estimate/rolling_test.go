package estimate_test

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
	"fluedrift/datasets/measured"
	"fluedrift/model/day"
	"fluedrift/model/drift"
)

// The year that visits roll through, in fortnights. What is counted as ninety days
// elsewhere are six of them.
const (
	fortnight   = 14
	yearSteps   = 26
	unseenSteps = 6
	aheadSteps  = yearSteps + unseenSteps // how far the state after a setting is followed
)

// course is what a day of a unit counts on each fortnight ahead, at its worse fire:
// never set, and set on one of them; of value as the key counts it, and of the chance
// to be out of limits.
type rollingCourse struct {
	never, neverOut []float64
	set, setOut     [][]float64 // by the fortnight it is set on
}

// at is what a fortnight counts for a unit last set on another, -1 never.
func (c *rollingCourse) at(k, set int) float64 {
	if set < 0 {
		return c.never[k]
	}
	return c.set[set][k-set]
}

func (c *rollingCourse) out(k, set int) float64 {
	if set < 0 {
		return c.neverOut[k]
	}
	return c.setOut[set][k-set]
}

// avoids is the key of a visit on a fortnight to a unit last set on another.
func (c *rollingCourse) avoids(k, set, planned int) float64 {
	near, sum := math.Inf(1), 0.0
	before := c.at(k, set) - c.at(k, k)
	for j := k + 1; j <= max(planned, k+unseenSteps); j++ {
		now := c.at(j, set) - c.at(j, k)
		sum, before = sum+fortnight*(before+now)/2, now
		if j == k+unseenSteps {
			near = sum
		}
	}
	return math.Min(near, sum)
}

// add takes in a fire; the worse of the fires counts on each day.
func (c *rollingCourse) add(without []drift.Harm, set [][]drift.Harm, value func(*drift.Harm) float64) {
	worse := func(to *[]float64, harm []drift.Harm, of func(*drift.Harm) float64) {
		if *to == nil {
			*to = make([]float64, len(harm))
		}
		for k := range harm {
			(*to)[k] = math.Max((*to)[k], of(&harm[k]))
		}
	}
	out := func(h *drift.Harm) float64 { return h.Out() }
	worse(&c.never, without, value)
	worse(&c.neverOut, without, out)
	if c.set == nil {
		c.set, c.setOut = make([][]float64, len(set)), make([][]float64, len(set))
	}
	for s := range set {
		worse(&c.set[s], set[s], value)
		worse(&c.setOut[s], set[s], out)
	}
}

// rollingUnit is a unit through the year: as it is expected to go, and as it truly does.
type rollingUnit struct {
	expected, truth rollingCourse
	planned         int     // fortnight of the planned visit
	since           float64 // days from the last visit to the as-of day
}

// rollingUnits are the units of a fleet that are compared.
func (o *inTruth) rollingUnits() (all []rollingUnit) {
	days := make([]day.Day, 2*yearSteps+2)
	for k := range days {
		days[k] = o.asOf + day.Day(fortnight*k)
	}
	courses := o.out.HarmCourses(days, yearSteps+1, aheadSteps)
	rules, r := watch.DefaultConfig(o.asOf, o.rules.Judge), analysis.DefaultVisitConfig()
	for i, h := range o.histories {
		f := o.out.Forecasts[i]
		if f == nil || len(courses[i]) == 0 {
			continue
		}
		l := assess(h, rules, f)
		if !compared(&l) || math.IsNaN(l.Benefit.Key) {
			continue
		}
		u, known := rollingUnit{planned: unseenSteps, since: 1e4}, true
		if l.PlannedDay > o.asOf { // an overdue unit goes unseen as long as the key has it
			u.planned = min(int(l.PlannedDay-o.asOf+fortnight-1)/fortnight, yearSteps+1)
		}
		if l.LastVisit != day.None {
			u.since = float64(o.asOf - l.LastVisit)
		}
		for _, c := range courses[i] {
			at := slices.IndexFunc(f.Fires, func(x analysis.FireForecast) bool { return x.Fire == c.Fire })
			y := o.deviations(i, c.Fire, days)
			if at < 0 || y == nil {
				known = false
				break
			}
			x := &f.Fires[at]
			value := func(h *drift.Harm) float64 { return r.Value(h, x.HalfWidth()) }
			u.expected.add(c.Without, c.Set, value)
			without, set := trueCourse(y, x)
			u.truth.add(without, set, value)
		}
		if known {
			all = append(all, u)
		}
	}
	return all
}

// trueCourse is the harm of known deviations on the fortnights, never set and set to
// the target on one of them.
func trueCourse(y []float64, x *analysis.FireForecast) (without []drift.Harm, set [][]drift.Harm) {
	for k := range y {
		without = append(without, certain(y[k], x))
	}
	for s := range yearSteps + 1 {
		var harm []drift.Harm
		for k := s; k < len(y) && k <= s+aheadSteps; k++ {
			harm = append(harm, certain(y[k]-y[s], x))
		}
		set = append(set, harm)
	}
	return without, set
}

// rollingOrders rank a unit on a fortnight; the larger number comes first.
var rollingOrders = map[string]func(u *rollingUnit, k, set, planned int) float64{
	"the key":        func(u *rollingUnit, k, set, planned int) float64 { return u.expected.avoids(k, set, planned) },
	"clairvoyant":    func(u *rollingUnit, k, set, planned int) float64 { return u.truth.avoids(k, set, planned) },
	"today's chance": func(u *rollingUnit, k, set, _ int) float64 { return u.expected.out(k, set) },
	"worst chance": func(u *rollingUnit, k, set, planned int) (worst float64) {
		for j := k; j <= max(planned, k); j++ {
			worst = math.Max(worst, u.expected.out(j, set))
		}
		return worst
	},
	"days since visit": func(u *rollingUnit, k, set, _ int) float64 {
		if set >= 0 {
			return float64(fortnight * (k - set))
		}
		return u.since + float64(fortnight*k)
	},
}

// rollThrough is the harm of a year in which each fortnight the first units of an order
// are visited, a share of all, and planned visits happen on their day whether or not
// somebody came before. nil visits nobody else.
func rollThrough(units []rollingUnit, rank func(u *rollingUnit, k, set, planned int) float64, visits int) (harm float64) {
	set, planned := make([]int, len(units)), make([]int, len(units))
	keys, order := make([]float64, len(units)), make([]int, len(units))
	for i := range units {
		set[i], planned[i], order[i] = -1, units[i].planned, i
	}
	for k := range yearSteps {
		for i := range units {
			if planned[i] == k {
				set[i], planned[i] = k, k+yearSteps
			}
		}
		if rank != nil {
			for i := range units {
				keys[i] = rank(&units[i], k, set[i], min(planned[i], max(set[i], 0)+aheadSteps))
			}
			slices.SortFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(keys[b], keys[a]), a-b) })
			for _, i := range order[:visits] {
				set[i] = k
			}
		}
		for i := range units {
			harm += fortnight * (units[i].truth.at(k, set[i]) + units[i].truth.at(k+1, set[i])) / 2
		}
	}
	return harm
}

// What the key has to avoid in the rolling year, in times of the others'. Wanted are
// 1.08, 1.02, 2.7 and .76. All hold in the model's and the demo's worlds. In the others
// the key is level with today's chance, and half of the harm is there for a clairvoyant
// alone (three fleets of each world: .97 and .99 of today's chance, .58 and .61 of a
// clairvoyant's): what slips or is shared no record shows before.
var rollingBounds = []struct {
	order          string
	within, beyond float64 // the model's family, and worlds outside it
}{
	{"today's chance", 1.08, 0.95}, {"worst chance", 1.02, 1.02}, {"days since visit", 2.7, 2.7}, {"clairvoyant", 0.76, 0.5},
}

// Visited anew every fortnight by the key, a fleet has less harm in a year than by a
// chance or by the days since the last visit. Every visit leaves the target.
//
// The ranking of a fortnight is approximate: nothing is fitted again, and what a visit
// finds is not learned from. Of each unit the forecast of the as-of day counts, in the
// weather to be expected of the fortnight; one that was visited is in the state after a
// setting to the target on that day, with its own drift.
func TestRollingVisitsAvoidHarm(t *testing.T) {
	fleets, units, in, on, long := harmRuns()
	if long {
		on = []day.Day{harmDates[0], harmDates[2]}
	} else {
		units = 200
	}
	kept := measured.Of(t, "visits")
	for _, percent := range []int{1, 2} {
		within, beyond := map[string]*ratio{}, map[string]*ratio{}
		for k := range in {
			whole := within
			if in[k].learned {
				whole = beyond
			}
			for _, date := range on {
				of := map[string]*ratio{}
				for _, year := range in[k].years(t, fleets, units, date) {
					for name, avoided := range year.avoided[percent] {
						addRatio(of, name, year.avoided[percent]["the key"], avoided)
						addRatio(whole, name, year.avoided[percent]["the key"], avoided)
					}
				}
				for _, b := range rollingBounds {
					t.Logf("%s, from %s, %d %% a fortnight: key over %s %s", in[k].name, date.String()[5:], percent, b.order, of[b.order])
				}
			}
		}
		for _, b := range rollingBounds {
			checkRolling(t, kept, fmt.Sprintf("rolling year, model's and demo's worlds, %d %% a fortnight", percent), b.order, within[b.order],
				b.within, long)
			if long {
				checkRolling(t, kept, fmt.Sprintf("rolling year, worlds outside the model, %d %% a fortnight", percent), b.order, beyond[b.order],
					b.beyond, long)
			}
		}
	}
}

func addRatio(to map[string]*ratio, name string, a, b float64) {
	if to[name] == nil {
		to[name] = &ratio{}
	}
	to[name].add(a, b)
}

func checkRolling(t *testing.T, kept *measured.Figures, name, order string, r *ratio, bound float64, long bool) {
	t.Helper()
	t.Logf("%s: key over %s %s; of the harm %.3f and %.3f are avoided", name, order, r, sumOf(r.a)/float64(len(r.a)),
		sumOf(r.b)/float64(len(r.b)))
	kept.Mean(name, "times "+order, r.value(), r.se(), 3, fmt.Sprintf("%.2f", bound))
	spread := r.se()
	if !long { // one small fleet
		spread = 0.1 * bound
	}
	assert.GreaterOrEqual(t, r.value(), bound-surely*spread, "%s: %s", name, order)
}

// rollingYear is the share of a fleet's harm that each order avoids, by percent visited.
type rollingYear struct{ avoided map[int]map[string]float64 }

var rollingYears = map[string][]rollingYear{}

// years rolls fleets of a world through a year.
func (w *harmWorld) years(t testing.TB, fleets, units int, date day.Day) (all []rollingYear) {
	name := fmt.Sprint(w.name, fleets, units, date)
	if rollingYears[name] == nil {
		eachSeed(fleets, func(seed uint64) rollingYear {
			list := w.on(t, units, seed, date).rollingUnits()
			y, none := rollingYear{map[int]map[string]float64{}}, rollThrough(list, nil, 0)
			for _, percent := range []int{1, 2} {
				y.avoided[percent] = map[string]float64{}
				for name, rank := range rollingOrders {
					y.avoided[percent][name] = 1 - rollThrough(list, rank, max(1, len(list)*percent/100))/none
				}
			}
			return y
		}, func(y rollingYear) { rollingYears[name] = append(rollingYears[name], y) })
	}
	return rollingYears[name]
}
