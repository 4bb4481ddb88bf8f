package hindsight

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// oracle orders units by the true parameters of an invented fleet: the course of
// every burner control, vents, ages, the effect of the air and every standard
// deviation are known; what a unit and an analyzer do of their own is learned from
// the same readings, judged, removed and cut by the same rules as the model's.
type oracle struct {
	f        *worlds.DemoFleet
	units    map[string]int
	rules    *judge.Config
	asOf     day.Day
	biases   bool // those of the analyzers are known as well
	analyzer map[string]int
	period   map[calibrated]int
}

type calibrated struct {
	name string
	day  day.Day
}

// fireOf is a fire of a unit.
type fireOf struct {
	serial string
	fire   judge.Fire
}

// one is a unit on its way into the oracle's fleet.
type one struct {
	o        *oracle
	h        *judge.History
	unit     int
	fire     judge.Fire
	effects  demo.Effects
	exposure []float64 // of the vent covariate, at the end of every month since the install day
}

const monthDays = 30

// withOracle are the cases of the origins with an oracle's order in place of the
// model's.
func withOracle(t testing.TB, f *worlds.DemoFleet, origins []*lookedAt, biases bool) (all []Case) {
	for _, o := range origins {
		chances := oracleChances(t, f, o.known, &o.rules.List.Judge, o.Day, o.rules.Model.Planned, biases)
		from := len(all)
		all = append(all, o.Cases...)
		for i := range all[from:] {
			c := &all[from+i]
			c.Order[Model] = chances[fireOf{c.Serial, c.Fire}]
		}
	}
	return all
}

// oracleChances are the probabilities of standing outside on the planned day.
func oracleChances(t testing.TB, f *worlds.DemoFleet, known []*judge.History, rules *judge.Config, asOf day.Day, planned func(*judge.History) day.Day, biases bool) map[fireOf]float64 {
	t.Helper()
	o := &oracle{f: f, units: map[string]int{}, rules: rules, asOf: asOf, biases: biases, analyzer: map[string]int{}, period: map[calibrated]int{}}
	for i := range f.Len() {
		o.units[f.Serial(i)] = i
	}
	out := map[fireOf]float64{}
	for _, fires := range [][]judge.Fire{{judge.High, judge.Single}, {judge.Low}} {
		o.chances(t, known, fires, planned, out)
	}
	return out
}

func (o *oracle) chances(t testing.TB, known []*judge.History, fires []judge.Fire, planned func(*judge.History) day.Day, out map[fireOf]float64) {
	w, r := o.f.Options.World, drift.DefaultConfig()
	in := drift.Input{Rules: r, Design: drift.Design{Level: []drift.Column{{Name: "what is known", Prior: &drift.Prior{Mean: 1, SD: 1e-6}}}}}
	var all []*one
	for _, h := range known {
		unit, ok := o.units[h.Unit.Serial]
		at := slices.IndexFunc(h.Targets, func(t judge.FireTarget) bool { return slices.Contains(fires, t.Fire) })
		if !ok || at < 0 {
			continue
		}
		u := &one{o: o, h: h, unit: unit, fire: h.Targets[at].Fire, effects: w.Effects[h.Unit.Control].High}
		if u.fire == judge.Low {
			u.effects = w.Effects[h.Unit.Control].Low
		}
		all, in.Series = append(all, u), append(in.Series, u.series())
	}
	in.Analyzers, in.Periods = len(o.analyzer), len(o.period)
	sigma := w.NoiseSD
	if w.Display { // shown in tenths: a twelfth of the square of the step on top
		sigma = math.Sqrt(sigma*sigma + 0.01/12)
	}
	th := drift.Theta{Q: w.WanderSD / sigma, Tau: w.SlopeSD / sigma, B1: w.AnalyzerSD / sigma, B2: w.CalibrationSD / sigma}
	if o.biases {
		th.B1, th.B2 = 0, 0
	}
	whole, err := drift.NewFleet(in)
	require.NoError(t, err)
	options := drift.EvaluateOptions{Workers: 2, PriorSigma: sigma}
	clean, _, err := whole.Clean(context.Background(), th, options)
	require.NoError(t, err)
	fit, err := clean.Evaluate(context.Background(), th, options)
	require.NoError(t, err)
	require.InDelta(t, 1, fit.Coefficients[0].Value, 1e-3)
	p := fit.Predictor()
	for k, u := range all {
		band, _ := o.rules.Action(&u.h.Targets[slices.IndexFunc(u.h.Targets, func(t judge.FireTarget) bool { return t.Fire == u.fire })].Target, u.h.Unit.Fuel)
		day := max(planned(u.h), o.asOf)
		out[fireOf{u.h.Unit.Serial, u.fire}] = p.Predictive(k).At(u.point(day, band)).POut
	}
}

// series makes the unit's readings; what is known of them is their level.
func (u *one) series() drift.Series {
	uses := judge.Judge(u.h, *u.o.rules).Uses
	s := drift.Series{Unit: u.h.Unit.Serial, Start: inYears(u.start())}
	set, at := day.None, 0
	var last *judge.Reading
	for v := range u.h.Visits {
		visit, from := &u.h.Visits[v], at
		for at < len(u.h.Readings) && u.h.Readings[at].Visit == v {
			at++
		}
		if visit.Reason == judge.FactoryTest {
			continue
		}
		out := drift.Visit{T: inYears(visit.Day), Analyzer: -1, Period: -1, Adjusted: answerOf(visit.Adjusted(u.fire)), Work: visit.Parts != ""}
		found, left := math.NaN(), math.NaN()
		var first *judge.Reading
		for i := from; i < at; i++ {
			x := &u.h.Readings[i]
			if x.Fire != u.fire {
				continue
			}
			if first == nil {
				first = x
			}
			r := drift.Reading{Y: u.o.rules.Deviation(x), W: 1, Use: useOf(uses[i])}
			r.Analyzer, r.Period = u.o.columns(x)
			bias := u.bias(x)
			since := set
			switch x.Condition {
			case judge.AsFound:
				r.Kind, found = drift.AsFound, r.Y
			case judge.AsLeft:
				r.Kind, left = drift.AsLeft, r.Y
				if out.Adjusted == drift.Yes || math.Abs(found-left) > 0.05 {
					since = visit.Day
				}
			default:
				r.Kind = drift.Between
			}
			r.Level = []float64{u.level(visit.Day, since, u.o.f.AirC(u.unit, visit.Day)) + bias}
			out.Analyzer, out.Period = r.Analyzer, r.Period
			out.Level = []float64{u.level(visit.Day, visit.Day, u.o.f.AirC(u.unit, visit.Day)) + bias}
			out.Readings = append(out.Readings, r)
		}
		if first != nil {
			out.TargetStep = u.o.f.TrueTarget(u.unit, u.fire, visit.Day) - u.o.f.TrueTarget(u.unit, u.fire, u.o.asOf)
			if last != nil && last.Fuel != first.Fuel {
				out.Before |= drift.ChangeFuel
			}
			if last != nil && !same(last.Target.CO2Percent, first.Target.CO2Percent) || last != nil && !same(last.Target.O2Percent, first.Target.O2Percent) {
				out.Before |= drift.ChangeTarget
			}
			last = first
		}
		if out.Adjusted == drift.Yes || math.Abs(found-left) > 0.05 {
			set = visit.Day
		}
		if first == nil && out.Adjusted != drift.Yes && visit.Parts == "" {
			continue
		}
		s.Visits = append(s.Visits, out)
	}
	u.h = withSet(u.h, set)
	return s
}

// withSet remembers the day of the last known setting in the day the state is
// from, which nothing else here reads.
func withSet(h *judge.History, set day.Day) *judge.History {
	out := *h
	out.Unit.StateFrom = set
	return &out
}

func (u *one) start() day.Day {
	if u.h.Unit.Installed != day.None {
		return u.h.Unit.Installed
	}
	return u.h.Unit.FirstDay
}

// level is what is known of a unit on a day: its kind's drift so far, settling
// since it was set, and the air.
func (u *one) level(d, set day.Day, airC float64) float64 {
	e, age := &u.effects, math.Max(0, inYears(d)-inYears(u.start()))
	settled := 1.0
	if set != day.None {
		settled = math.Min(inYears(d)-inYears(set), 1)
	}
	return e.RatePerYear*age + e.AgeRatePerYear*age*age/2 + e.VentRatePerYear*u.exposed(d) + e.VentLevel*u.o.f.VentCovariate(u.unit, d) +
		e.Settling*settled + e.PerKelvin*(airC-10)
}

// exposed is the vent covariate over the years in service, by steps of a month.
func (u *one) exposed(d day.Day) float64 {
	months := int(max(int32(d-u.start()), 0) / monthDays)
	for len(u.exposure) <= months {
		k := len(u.exposure)
		if k == 0 {
			u.exposure = append(u.exposure, 0)
			continue
		}
		u.exposure = append(u.exposure, u.exposure[k-1]+u.o.f.VentCovariate(u.unit, u.start()+day.Day(int32(k)*monthDays)-monthDays/2)*monthDays/daysPerYear)
	}
	rest := float64(max(int32(d-u.start()), 0) - int32(months)*monthDays)
	return u.exposure[months] + u.o.f.VentCovariate(u.unit, d)*rest/daysPerYear
}

// point is a day to forecast.
func (u *one) point(day day.Day, band judge.Band) drift.Point {
	w, slope := u.o.f.Options.World, 1.0
	if n := len(u.h.VentRuns); n > 0 && u.h.VentRuns[n-1].AirFrom == "room" {
		slope = 0.25
	}
	perSD := u.effects.PerKelvin * slope * w.WeatherSD
	return drift.Point{
		T: inYears(day), Level: []float64{u.level(day, u.h.Unit.StateFrom, u.o.f.ExpectedAirC(u.unit, day))},
		LevelVar: []float64{perSD * perSD}, Lo: band.Lean, Hi: band.Rich, Analyzer: -1, Period: -1,
	}
}

// bias is what the reading's analyzer adds to CO2, where biases are known.
func (u *one) bias(x *judge.Reading) float64 {
	if !u.o.biases || x.Analyzer == "" {
		return 0
	}
	b := u.o.f.AnalyzerBias(x.Analyzer, x.Day)
	if u.o.f.Options.World.Cell {
		b *= u.o.rules.Fuels[u.o.f.TrueFuel(u.unit, x.Day)].CO2MaxPercent / u.o.rules.Fuels["natural gas"].CO2MaxPercent
	}
	return b
}

// columns are those of a reading's analyzer and its calibration period.
func (o *oracle) columns(x *judge.Reading) (analyzer, period int) {
	if x.Analyzer == "" || o.biases {
		return -1, -1
	}
	return numbered(o.analyzer, x.Analyzer), numbered(o.period, calibrated{x.Analyzer, x.Calibrated})
}

func numbered[K comparable](m map[K]int, k K) int {
	n, ok := m[k]
	if !ok {
		n = len(m)
		m[k] = n
	}
	return n
}

func answerOf(text string) drift.Answer {
	switch text {
	case judge.Yes:
		return drift.Yes
	case judge.No:
		return drift.No
	}
	return drift.Unknown
}

func useOf(u judge.Use) drift.Use {
	switch {
	case u >= judge.LeftOut:
		return drift.ForNone
	case u == judge.StateOnly:
		return drift.ForState
	}
	return drift.ForFit
}

// same compares values of which both may be missing.
func same(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }

func inYears(day day.Day) float64 { return float64(day) / daysPerYear }
