package estimate_test

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
	"fluedrift/datasets/worlds"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// visitCase is a unit of a fleet on a day on which visits are compared: what the list
// says a visit avoids, what it truly does, what the oracle expects it to, and what
// others would put units in order by.
type visitCase struct {
	serial             string
	own, truth, oracle analysis.Benefit // of the oracle NaN where a world has none
	atTarget           float64          // the key of what it truly avoids if it leaves the target whatever the sheet says
	group              watch.Group
	today, worst       float64 // chances at the worse fire
	sinceVisit         float64 // days; never visited above all
	lastBeyond         float64 // the last deviation over its side of the action band, at the worse fire
	pastPlanned        float64 // days past the planned day
	tier               tierKey
	features           []float64 // the list's own numbers, for gradient boosting
}

// visitCases are the units of a fleet that are compared. Left out are those of which no
// order by what a visit avoids is asked: CO urgent, and those where somebody is to be
// asked first because the last reading, the fuel or the analyzer is in doubt; and units
// that are not on the list proper or have no forecast at a fire.
func (o *inTruth) visitCases(t testing.TB) (all []visitCase) {
	t.Helper()
	rules, r := watch.DefaultConfig(o.asOf, o.rules.Judge), analysis.DefaultVisitConfig()
	oracle := o.oracles(t)
	for i, h := range o.histories {
		f := o.out.Forecasts[i]
		if f == nil {
			continue
		}
		l := assess(h, rules, f)
		if !compared(&l) {
			continue
		}
		truth, known := o.truly(i, l.PlannedDay, r)
		if !known || math.IsNaN(l.Benefit.Key) {
			continue
		}
		atTarget, _ := o.trulyLeft(i, l.PlannedDay, r, func(*analysis.FireForecast) float64 { return 0 })
		c := visitCase{
			atTarget: atTarget.Key, serial: h.Unit.Serial, own: l.Benefit, truth: truth, group: l.Group,
			today: l.OutProbability, worst: l.WorstOutProbability, sinceVisit: 1e4,
			pastPlanned: float64(l.DaysOverdue), lastBeyond: o.lastBeyond(h), tier: tierOf(h, &l, rules),
			oracle: analysis.Benefit{Key: math.NaN(), Days: math.NaN(), Points: math.NaN()},
		}
		if l.LastVisit != day.None {
			c.sinceVisit = float64(o.asOf - l.LastVisit)
		}
		if oracle != nil {
			if c.oracle, known = o.foreseen(oracle, i, l.PlannedDay, r); !known {
				continue
			}
		}
		c.features = o.numbers(&l, c.sinceVisit, c.lastBeyond)
		all = append(all, c)
	}
	return all
}

// compared tells whether a unit is one whose place the key gives.
func compared(l *watch.Line) bool {
	if l.Removed || l.Foot != watch.NoFoot || l.Group == watch.GoToday {
		return false
	}
	doubts := []watch.Ground{watch.FuelInDoubt, watch.ReadAgain, watch.LastUnconfirmed, watch.LeftOutside}
	return l.Group != watch.AskFirst || !slices.Contains(doubts, l.Ground)
}

// lastBeyond is the last deviation on record over its side of the action band, at the
// fire where that is more.
func (o *inTruth) lastBeyond(h *judge.History) (most float64) {
	w := world{rules: o.rules}
	for _, target := range h.Targets {
		band, _ := o.rules.Judge.Action(&target.Target, h.Unit.Fuel)
		last := math.NaN()
		w.fieldReadings(h, target.Fire, func(_ *judge.Reading, d float64) { last = d })
		if over := math.Max(last/band.Rich, last/band.Lean); over > most {
			most = over
		}
	}
	return most
}

// numbers are what the list says of a unit in numbers.
func (o *inTruth) numbers(l *watch.Line, since, last float64) []float64 {
	out := []float64{l.Benefit.Key, l.Benefit.Days, l.OutProbability, l.WorstOutProbability, since, last, float64(l.DaysOverdue)}
	if math.IsNaN(l.Benefit.Points) {
		out = append(out, 0)
	} else {
		out = append(out, l.Benefit.Points)
	}
	far, rich, lean, width := 0.0, 0.0, 0.0, 0.0
	for k := range l.Forecast.Fires {
		x := &l.Forecast.Fires[k]
		if y := (x.CO2Percent - x.TargetCO2Percent) / x.HalfWidth(); math.Abs(y) > math.Abs(far) {
			far, width = y, x.HighPercent-x.LowPercent
		}
		rich, lean = math.Max(rich, x.Today.Rich), math.Max(lean, x.Today.Lean)
	}
	return append(out, far, rich, lean, width)
}

// oracles are what the oracle of a fleet of the demo makes of its units at their fires;
// nil where a world has none.
func (o *inTruth) oracles(t testing.TB) map[oracleFire]*worlds.OracleUnit {
	t.Helper()
	if o.fleet == nil {
		return nil
	}
	rules := o.rules.Judge
	rules.Pairs = judge.PairsIn(o.histories, &rules)
	oracle := worlds.NewOracle(o.fleet, &rules, o.asOf, false)
	out := map[oracleFire]*worlds.OracleUnit{}
	for _, fires := range [][]judge.Fire{{judge.High, judge.Single}, {judge.Low}} {
		units, err := oracle.Forecast(o.histories, 1, fires...)
		require.NoError(t, err)
		for _, u := range units {
			out[oracleFire{u.History.Unit.Serial, u.Fire}] = u
		}
	}
	return out
}

type oracleFire struct {
	serial string
	fire   judge.Fire
}

// foreseen is what a visit on the as-of day avoids by the oracle: the same sum over what
// it expects, with and without being set.
func (o *inTruth) foreseen(oracle map[oracleFire]*worlds.OracleUnit, i int, planned day.Day, r analysis.VisitConfig) (analysis.Benefit,
	bool,
) {
	forecast := &analysis.Forecast{}
	for _, x := range o.out.Forecasts[i].Fires {
		u := oracle[oracleFire{o.histories[i].Unit.Serial, x.Fire}]
		if u == nil {
			return analysis.Benefit{}, false
		}
		set := u.Predictive.Visited(u.Point(o.asOf, o.asOf))
		points := x.Harm
		x.Harm = nil
		for _, p := range points {
			at, after := u.Point(p.Day, u.Set()), u.Point(p.Day, o.asOf)
			x.Harm = append(x.Harm, analysis.HarmPoint{
				Day:     p.Day,
				Without: u.Predictive.Mixture(at).Harm(at.Lo, at.Hi),
				Visited: set.Mixture(after).Moved(x.Aim.Points).Harm(after.Lo, after.Hi),
			})
		}
		forecast.Fires = append(forecast.Fires, x)
	}
	return forecast.Benefit(o.asOf, planned, r)
}

// comparedFleets are the fleets whose cases were made: several tests look at the same.
var comparedFleets = struct {
	sync.Mutex
	made map[string][]visitCase
}{made: map[string][]visitCase{}}

// casesOn are the cases of a fleet of a world on a day. Whoever gets them changes
// nothing in them.
func (w *harmWorld) casesOn(t testing.TB, units int, seed uint64, date day.Day) []visitCase {
	t.Helper()
	name := fmt.Sprint(w.name, units, seed, date)
	comparedFleets.Lock()
	cases, made := comparedFleets.made[name]
	comparedFleets.Unlock()
	if !made {
		cases = w.on(t, units, seed, date).visitCases(t)
		comparedFleets.Lock()
		comparedFleets.made[name] = cases
		comparedFleets.Unlock()
	}
	return cases
}

// harmRuns are how many fleets of how many units are compared, in which worlds and on
// which days: in the normal suite one fleet of the demo's world on one day.
// FLUEDRIFT_FLEETS has the long suite take fewer.
func harmRuns() (fleets, units int, in []harmWorld, on []day.Day, long bool) {
	if os.Getenv("FLUEDRIFT_LONG") == "" {
		return 1, 300, harmWorlds[1:2], harmDates[2:3], false
	}
	fleets = longFleets
	if n, err := strconv.Atoi(os.Getenv("FLUEDRIFT_FLEETS")); err == nil {
		fleets = n
	}
	return fleets, longUnits, harmWorlds, harmDates, true
}

// ofFleets are the cases of the fleets of a world on a day.
func (w *harmWorld) ofFleets(t testing.TB, fleets, units int, date day.Day) (all [][]visitCase) {
	eachSeed(fleets, func(seed uint64) []visitCase { return w.casesOn(t, units, seed, date) }, func(c []visitCase) { all = append(all, c) })
	return all
}

// ratio is the ratio of two sums over fleets, with its standard error by linearization
// (Cochran, Sampling Techniques, section 6.3; from memory).
type ratio struct{ a, b []float64 }

func (r *ratio) add(a, b float64) { r.a, r.b = append(r.a, a), append(r.b, b) }

func (r *ratio) value() float64 { return sumOf(r.a) / sumOf(r.b) }

// se is the standard error; of one fleet it is not known, and none.
func (r *ratio) se() float64 {
	n, v, square := float64(len(r.a)), r.value(), 0.0
	if n < 2 {
		return 0
	}
	for i := range r.a {
		d := r.a[i] - v*r.b[i]
		square += d * d
	}
	return math.Sqrt(square/(n-1)/n) / (sumOf(r.b) / n)
}

func sumOf(v []float64) (sum float64) {
	for _, x := range v {
		sum += x
	}
	return sum
}
