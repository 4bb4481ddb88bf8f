package worlds

import (
	"context"
	"fmt"
	"math"
	"slices"

	"fluedrift/datasets/demo"
	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// Oracle forecasts units of the demo's fleet by its true parameters: the course of
// every burner control, vents, ages, the effect of the air and every standard
// deviation are known; what a unit and an analyzer do of their own is learned from
// the same readings, judged, removed and cut by the same rules as the model's.
type Oracle struct {
	f        *DemoFleet
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

// NewOracle makes the oracle of a fleet on a day; with biases it knows the errors of
// the analyzers too.
func NewOracle(f *DemoFleet, rules *judge.Config, asOf day.Day, biases bool) *Oracle {
	o := &Oracle{
		f: f, units: map[string]int{}, rules: rules, asOf: asOf, biases: biases,
		analyzer: map[string]int{}, period: map[calibrated]int{},
	}
	for i := range f.Len() {
		o.units[f.Serial(i)] = i
	}
	return o
}

// OracleUnit is a unit at one fire as an oracle sees it. Its series are its readings,
// with all that is known of them as their level.
type OracleUnit struct {
	History    *judge.History
	Unit       int // in the fleet
	Fire       judge.Fire
	Series     drift.Series
	Predictive *drift.Predictive // nil before [Oracle.Forecast]

	o        *Oracle
	effects  demo.Effects
	exposure []float64 // of the vent covariate, at the end of every month since the install day
	set      day.Day   // last known setting
}

const monthDays = 30

// Fires are the units that have one of some fires, each at the first of its targets
// that is for one of them.
func (o *Oracle) Fires(histories []*judge.History, fires ...judge.Fire) (all []*OracleUnit) {
	w := o.f.Options.World
	for _, h := range histories {
		unit, ok := o.units[h.Unit.Serial]
		at := slices.IndexFunc(h.Targets, func(t judge.FireTarget) bool { return slices.Contains(fires, t.Fire) })
		if !ok || at < 0 {
			continue
		}
		u := &OracleUnit{o: o, History: h, Unit: unit, Fire: h.Targets[at].Fire, effects: w.Effects[h.Unit.Control].High}
		if u.Fire == judge.Low {
			u.effects = w.Effects[h.Unit.Control].Low
		}
		u.Series = u.makeSeries()
		all = append(all, u)
	}
	return all
}

// Forecast is Fires with a predictive distribution each. Workers share the fit.
func (o *Oracle) Forecast(histories []*judge.History, workers int, fires ...judge.Fire) ([]*OracleUnit, error) {
	w, r := o.f.Options.World, drift.DefaultConfig()
	in := drift.Input{Rules: r, Design: drift.Design{Level: []drift.Column{{Name: "what is known", Prior: &drift.Prior{Mean: 1, SD: 1e-6}}}}}
	all := o.Fires(histories, fires...)
	for _, u := range all {
		in.Series = append(in.Series, u.Series)
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
	if err != nil {
		return nil, err
	}
	options := drift.EvaluateOptions{Workers: workers, PriorSigma: sigma}
	clean, _, err := whole.Clean(context.Background(), th, options)
	if err != nil {
		return nil, err
	}
	fit, err := clean.Evaluate(context.Background(), th, options)
	if err != nil {
		return nil, err
	}
	if known := fit.Coefficients[0].Value; math.Abs(known-1) > 1e-3 {
		return nil, fmt.Errorf("what is known counts %g times", known)
	}
	p := fit.Predictor()
	for k, u := range all {
		u.Predictive = p.Predictive(k)
	}
	return all, nil
}

// Set is the day of the unit's last known setting, day.None without one.
func (u *OracleUnit) Set() day.Day { return u.set }

// Point is a day to forecast for a unit last set on another, with the action band of
// its fire.
func (u *OracleUnit) Point(on, set day.Day) drift.Point {
	at := slices.IndexFunc(u.History.Targets, func(t judge.FireTarget) bool { return t.Fire == u.Fire })
	band, _ := u.o.rules.Action(&u.History.Targets[at].Target, u.History.Unit.Fuel)
	w, slope := u.o.f.Options.World, 1.0
	if n := len(u.History.VentRuns); n > 0 && u.History.VentRuns[n-1].AirFrom == "room" {
		slope = 0.25
	}
	perSD := u.effects.PerKelvin * slope * w.WeatherSD
	return drift.Point{
		T: InYears(on), Level: []float64{u.level(on, set, u.o.f.ExpectedAirC(u.Unit, on))},
		LevelVar: []float64{perSD * perSD}, Lo: band.Lean, Hi: band.Rich, Analyzer: -1, Period: -1,
	}
}

// series makes the unit's readings; what is known of them is their level.
func (u *OracleUnit) makeSeries() drift.Series {
	uses := judge.Judge(u.History, *u.o.rules).Uses
	s := drift.Series{Unit: u.History.Unit.Serial, Start: InYears(u.start())}
	set, at := day.None, 0
	var last *judge.Reading
	for v := range u.History.Visits {
		visit, from := &u.History.Visits[v], at
		for at < len(u.History.Readings) && u.History.Readings[at].Visit == v {
			at++
		}
		if visit.Reason == judge.FactoryTest {
			continue
		}
		out := drift.Visit{T: InYears(visit.Day), Analyzer: -1, Period: -1, Adjusted: AnswerOf(visit.Adjusted(u.Fire)), Work: visit.Parts != ""}
		found, left := math.NaN(), math.NaN()
		var first *judge.Reading
		for i := from; i < at; i++ {
			x := &u.History.Readings[i]
			if x.Fire != u.Fire {
				continue
			}
			if first == nil {
				first = x
			}
			r := drift.Reading{Y: u.o.rules.Deviation(x), W: 1, Use: UseOf(uses[i])}
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
			r.Level = []float64{u.level(visit.Day, since, u.o.f.AirC(u.Unit, visit.Day)) + bias}
			out.Analyzer, out.Period = r.Analyzer, r.Period
			out.Level = []float64{u.level(visit.Day, visit.Day, u.o.f.AirC(u.Unit, visit.Day)) + bias}
			out.Readings = append(out.Readings, r)
		}
		if first != nil {
			out.TargetStep = u.o.f.TrueTarget(u.Unit, u.Fire, visit.Day) - u.o.f.TrueTarget(u.Unit, u.Fire, u.o.asOf)
			if last != nil && last.Fuel != first.Fuel {
				out.Before |= drift.ChangeFuel
			}
			if last != nil && (!same(last.Target.CO2Percent, first.Target.CO2Percent) || !same(last.Target.O2Percent, first.Target.O2Percent)) {
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
	u.set = set
	return s
}

func (u *OracleUnit) start() day.Day {
	if u.History.Unit.Installed != day.None {
		return u.History.Unit.Installed
	}
	return u.History.Unit.FirstDay
}

// level is what is known of a unit on a day: its kind's drift so far, settling
// since it was set, and the air.
func (u *OracleUnit) level(d, set day.Day, airC float64) float64 {
	e, age := &u.effects, math.Max(0, InYears(d)-InYears(u.start()))
	settled := 1.0
	if set != day.None {
		settled = math.Min(InYears(d)-InYears(set), 1)
	}
	return e.RatePerYear*age + e.AgeRatePerYear*age*age/2 + e.VentRatePerYear*u.exposed(d) + e.VentLevel*u.o.f.VentCovariate(u.Unit, d) +
		e.Settling*settled + e.PerKelvin*(airC-10)
}

// exposed is the vent covariate over the years in service, by steps of a month.
func (u *OracleUnit) exposed(d day.Day) float64 {
	months := int(max(int32(d-u.start()), 0) / monthDays)
	for len(u.exposure) <= months {
		k := len(u.exposure)
		if k == 0 {
			u.exposure = append(u.exposure, 0)
			continue
		}
		middle := u.start() + day.Day(int32(k)*monthDays) - monthDays/2
		u.exposure = append(u.exposure, u.exposure[k-1]+u.o.f.VentCovariate(u.Unit, middle)*monthDays/daysPerYear)
	}
	rest := float64(max(int32(d-u.start()), 0) - int32(months)*monthDays)
	return u.exposure[months] + u.o.f.VentCovariate(u.Unit, d)*rest/daysPerYear
}

// bias is what the reading's analyzer adds to CO2, where biases are known.
func (u *OracleUnit) bias(x *judge.Reading) float64 {
	if !u.o.biases || x.Analyzer == "" {
		return 0
	}
	b := u.o.f.AnalyzerBias(x.Analyzer, x.Day)
	if u.o.f.Options.World.Cell {
		b *= u.o.rules.Fuels[u.o.f.TrueFuel(u.Unit, x.Day)].CO2MaxPercent / u.o.rules.Fuels["natural gas"].CO2MaxPercent
	}
	return b
}

// columns are those of a reading's analyzer and its calibration period.
func (o *Oracle) columns(x *judge.Reading) (analyzer, period int) {
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

// AnswerOf is what a record says of an adjustment, as series have it.
func AnswerOf(text string) drift.Answer {
	switch text {
	case judge.Yes:
		return drift.Yes
	case judge.No:
		return drift.No
	}
	return drift.Unknown
}

// UseOf is what a judged reading is good for, as series have it.
func UseOf(u judge.Use) drift.Use {
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

// InYears is a day in years, as series count time.
func InYears(day day.Day) float64 { return float64(day) / daysPerYear }
