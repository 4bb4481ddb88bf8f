package study

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Configuration is one vent configuration to be asked about: m, kW and Pa; what is
// not given is NaN, -1 or "". Start from Unknown.
type Configuration struct {
	LengthM, RiseM, DiameterM      float64
	Elbows90, Elbows45             int
	Terminal, Material, AirFrom    string
	IntakeLengthM, IntakeDiameterM float64
	IntakeElbows90, IntakeElbows45 int
	Line, Fuel                     string
	Control                        judge.Control
	InputKW, AltitudeM             float64
	LongestRunM, FanPa             float64 // those of the model line where not given
	AgeYears                       float64 // at which drift is asked for; NaN: the mean of the rows
}

// Unknown is a configuration of which nothing is given.
func Unknown() Configuration {
	nan := math.NaN()
	return Configuration{
		LengthM: nan, RiseM: nan, DiameterM: nan, Elbows90: -1, Elbows45: -1, IntakeLengthM: nan, IntakeDiameterM: nan, IntakeElbows90: -1,
		IntakeElbows45: -1, InputKW: nan, AltitudeM: nan, LongestRunM: nan, FanPa: nan, AgeYears: nan,
	}
}

// Answer is what the study expects of a configuration.
type Answer struct {
	Configuration Configuration // with what the model line added
	Assumed       []Assumed     // what was taken from the units nearest to it, since it was not given
	OfRun, OfFan  float64       // NaN where it takes more than is known
	Expected      []Expected
	Outside       []Beyond  // why it lies outside the data; nothing: inside
	Distance      float64   // to the nearest unit, in standard deviations of the units, mean square over what is compared
	Compared      []Feature // what distance is taken over; ranges too, the hull over those of them that were given
	Nearest       []Near    // up to ten, nearest first
	NotMade       []NotMade

	given    []Feature // that were given, not assumed
	benchRun float64   // of the factory's vent, as OfRun
}

// Expected is one expected change: of re-routing the change from no vent to this
// one, of the others the change at this vent, with no change of air; of drift a
// year, after settling.
type Expected struct {
	Kind                   Kind
	Fire                   judge.Fire
	Response, Measure, Fit string
	Unit                   string
	Mean                   Contrast // of all units so configured
	OneLow, OneHigh        float64  // where 95 % of single readings' changes lie (drift: over one year)
	Outside                bool     // beyond the data: an extrapolation
	Counts

	residualSD float64
}

// Near is a unit near a configuration.
type Near struct {
	UnitVent
	Distance float64
}

// nearest is how many units are named.
const nearest = 10

// ErrConfiguration says that too little is given to say anything.
var ErrConfiguration = errors.New("too little is given")

// At says what the study expects of a configuration, within its burner control where
// it names one that has rows enough. What the measures take and is not given is the
// middle of the nearest units of its model line, and said so. It is an error where
// neither measure can be made, and for a model line, control or fuel that no unit has.
func (s *Study) At(c Configuration) (Answer, error) {
	if c.Line != "" && s.lines[c.Line] == nil {
		known := strings.Join(slices.Sorted(maps.Keys(s.lines)), ", ")
		return Answer{}, fmt.Errorf("%w: no unit of model line %q has a target\nwrite one of %s", ErrConfiguration, c.Line, known)
	}
	for _, w := range []struct {
		name, asked string
		of          func(*UnitVent) string
	}{
		{"burner control", string(c.Control), func(u *UnitVent) string { return string(u.Control) }},
		{"fuel", c.Fuel, func(u *UnitVent) string { return u.Fuel }},
	} {
		known := map[string]bool{}
		for i := range s.Units {
			known[w.of(&s.Units[i])] = true
		}
		delete(known, "")
		if w.asked != "" && !known[w.asked] {
			all := strings.Join(slices.Sorted(maps.Keys(known)), ", ")
			return Answer{}, fmt.Errorf("%w: no unit has %s %q\nwrite one of %s", ErrConfiguration, w.name, w.asked, all)
		}
	}
	out := Answer{Configuration: c}
	asked := asked{s, &out}
	asked.assume()
	h, run := asked.history()
	m := s.maker.measured(h, run)
	out.OfRun, out.OfFan = m.ofRun, m.ofFan.Middle
	if math.IsNaN(out.OfRun) && math.IsNaN(out.OfFan) {
		return out, fmt.Errorf("%w: give vent-length and elbows-90, and a model line or units near it for the rest", ErrConfiguration)
	}
	out.Outside, out.Compared = nil, nil
	asked.near(func(*UnitVent) bool { return true })
	factory := s.maker.factoryRun(h, run)
	out.benchRun = factory.ofRun
	for _, kind := range Kinds {
		for _, fire := range fires {
			for _, y := range responses {
				asked.expect(task{kind: kind, fire: fire, response: y, measure: byLength}, out.OfRun, factory.ofRun)
				asked.expect(task{kind: kind, fire: fire, response: y, measure: byFan}, out.OfFan, factory.ofFan.Middle)
			}
		}
	}
	return out, nil
}

// asked is a configuration whose answer is being made.
type asked struct {
	s *Study
	*Answer
}

// assume fills what the measures take from the units nearest to what is given.
func (a asked) assume() {
	c := &a.Configuration
	a.OfRun, a.OfFan = math.NaN(), math.NaN()
	for _, f := range a.features() {
		a.given = append(a.given, f.kind)
	}
	a.near(func(u *UnitVent) bool {
		return (c.Line == "" || u.Line == c.Line) && (c.Fuel == "" || u.Fuel == c.Fuel) && (c.Control == "" || u.Control == c.Control)
	})
	for _, v := range []struct {
		kind Feature
		unit string
		to   *float64
		of   func(*Near) float64
	}{
		{VentDiameter, "m", &c.DiameterM, func(u *Near) float64 { return u.DiameterM }},
		{Input, "kW", &c.InputKW, func(u *Near) float64 { return u.InputKW }},
		{LongestRun, "m", &c.LongestRunM, func(u *Near) float64 { return u.LongestRunM }},
		{FanPressure, "Pa", &c.FanPa, func(u *Near) float64 { return u.FanPa }},
	} {
		var known []float64
		for i := range a.Nearest {
			if x := v.of(&a.Nearest[i]); whole(x) {
				known = append(known, x)
			}
		}
		if !math.IsNaN(*v.to) || len(known) == 0 {
			continue
		}
		slices.Sort(known)
		*v.to = known[len(known)/2]
		a.Assumed = append(a.Assumed, Assumed{Feature: v.kind, Value: *v.to, Unit: v.unit})
	}
	if c.Fuel == "" && len(a.Nearest) > 0 {
		counts := map[string]int{}
		for i := range a.Nearest {
			counts[a.Nearest[i].Fuel]++
		}
		names := slices.Sorted(maps.Keys(counts))
		slices.SortStableFunc(names, func(x, y string) int { return counts[y] - counts[x] })
		c.Fuel = names[0]
		a.Assumed = append(a.Assumed, Assumed{Feature: FuelBurnt, Fuel: c.Fuel})
	}
	a.Nearest = nil
}

// history makes a unit of the configuration, with what its model line says.
func (a asked) history() (*judge.History, *judge.VentRun) {
	c := &a.Configuration
	target := judge.Target{LongestRunM: c.LongestRunM, FanPa: c.FanPa, CO2Percent: math.NaN(), O2Percent: math.NaN()}
	h := &judge.History{}
	if like := a.s.lines[c.Line]; c.Line != "" && like != nil {
		h.Targets = slices.Clone(like.Targets)
		fill(&c.Control, like.Unit.Control)
	} else {
		h.Targets = []judge.FireTarget{{Fire: judge.High, Target: target}}
		a.fillTarget(&h.Targets[0].Target, c.Fuel)
	}
	for i := range h.Targets {
		t := &h.Targets[i].Target
		for _, v := range []struct{ given, of *float64 }{{&c.LongestRunM, &t.LongestRunM}, {&c.FanPa, &t.FanPa}} {
			if math.IsNaN(*v.given) {
				*v.given = *v.of
			}
			*v.of = *v.given
		}
	}
	h.Unit = judge.Unit{
		ModelLine: c.Line, Control: c.Control, Fuel: c.Fuel, InputKW: c.InputKW, AltitudeM: c.AltitudeM, Installed: day.None,
	}
	h.VentRuns = []judge.VentRun{{
		Known: true, LengthM: c.LengthM, RiseM: c.RiseM, DiameterM: c.DiameterM, Elbows90: c.Elbows90, Elbows45: c.Elbows45, Terminal: c.Terminal,
		Material: c.Material, AirFrom: c.AirFrom, IntakeLengthM: c.IntakeLengthM, IntakeDiameterM: c.IntakeDiameterM,
		IntakeElbows90: c.IntakeElbows90, IntakeElbows45: c.IntakeElbows45,
	}}
	return h, &h.VentRuns[0]
}

func fill[W ~string](to *W, from W) {
	if *to == "" {
		*to = from
	}
}

// fillTarget gives a unit without a model line the middle CO2 of its fuel's rows'
// lines, which the flow of flue gas follows.
func (a asked) fillTarget(t *judge.Target, fuel string) {
	var all []float64
	for _, h := range a.s.lines {
		for _, x := range h.Targets {
			if co2 := a.s.maker.judge.TargetCO2(&x.Target, fuel); h.Unit.Fuel == fuel && x.Fire != judge.Low && whole(co2) {
				all = append(all, co2)
			}
		}
	}
	if len(all) > 0 {
		slices.Sort(all)
		t.CO2Percent, t.Origin = all[len(all)/2], "middle of the fleet's lines"
	}
}

// expect adds one expected change where its fit can be made.
func (a asked) expect(t task, z, factory float64) {
	if math.IsNaN(z) {
		return
	}
	if t.kind == Installation {
		z -= factory
	}
	rows := a.s.rowsOf(a.s.Rows, t.kind, t.fire)
	t.fit, t.more = PooledFit, fits[0].more
	if slices.Contains(commonest(rows), a.Configuration.Control) {
		t.fit, t.more = ControlFit, fits[1].more
	}
	f, err := t.regress(rows)
	if err != nil {
		a.NotMade = append(a.NotMade, t.notMade(Whole, Failed{Err: err}))
		return
	}
	e := Expected{
		Kind: t.kind, Fire: t.fire, Response: t.response.name, Measure: t.measure.name, Fit: t.fit,
		Unit: unitOf(t.response.unit, f.design.columns[0].unit),
		Mean: f.combine(f.weights(t, &a.Configuration, z)), Counts: f.counts, Outside: len(a.Outside) > 0, residualSD: f.ResidualSD,
	}
	if t.fit == ControlFit {
		e.Counts = countsOf(within(f.rows, a.Configuration.Control))
	}
	half := (e.Mean.High - e.Mean.Low) / 2 / e.Mean.SE * math.Hypot(e.Mean.SE, f.ResidualSD)
	e.OneLow, e.OneHigh = e.Mean.Value-half, e.Mean.Value+half
	if low, high := rangeOf(f.rows, t.measure.of); t.kind != Rerouting && (z < low || z > high) {
		e.Outside = true
	}
	a.Expected = append(a.Expected, e)
}

// weights are those of a fit's coefficients that make what is expected of a
// configuration whose vent is z, or is so much more than the factory's.
func (f *fitted) weights(t task, c *Configuration, z float64) []float64 {
	weights := f.design.standard(z, c.AgeYears)
	if t.kind == Rerouting { // the change from no vent
		clear(weights)
		weights[f.column(VentName)] = z
	}
	if t.fit != ControlFit {
		return weights
	}
	for i, column := range f.design.columns {
		if column.level {
			weights[i] = one(column.name == string(c.Control) && t.kind != Rerouting)
		}
	}
	if k := f.column(ventByName + string(c.Control)); k >= 0 {
		weights[k] = z
	}
	return weights
}

// rangeOf is the smallest and the largest value of rows.
func rangeOf(rows []*Row, of func(*Row) float64) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, r := range rows {
		low, high = math.Min(low, of(r)), math.Max(high, of(r))
	}
	return low, high
}
