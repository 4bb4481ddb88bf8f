package study

import (
	"fmt"
	"math"
	"slices"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Measures of a vent.
const (
	ByFan    = "loss over the fan's pressure"
	ByLength = "equivalent length over the longest run"
)

// response is what is explained.
type response struct {
	name, unit string
	of         func(*Row) float64
}

// responses lists them; points of CO2 first.
var responses = []response{
	{InPoints, "points", func(r *Row) float64 { return r.CO2Points }},
	{InLnLambda, "1", func(r *Row) float64 { return r.LnLambda }},
}

// measure is how vents are told apart: what a row's vent is or became more, and for
// re-routing the vent-years between.
type measure struct {
	name      string
	of, years func(*Row) float64
}

var (
	byFan    = measure{ByFan, func(r *Row) float64 { return r.OfFan }, func(r *Row) float64 { return r.fanYears }}
	byLength = measure{ByLength, func(r *Row) float64 { return r.OfRun }, func(r *Row) float64 { return r.VentYears }}
)

// measures lists them, side by side on the rows that have both.
var measures = []measure{byFan, byLength}

// Least numbers of what a fit needs.
const (
	fewest      = 30 // rows
	fewestSites = 10 // for the declared comparison
)

// task is one fit.
type task struct {
	kind     Kind
	fire     judge.Fire
	response response
	measure  measure
	fit      string
	more     func(*design)
	control  judge.Control // the rows are of; "" all
}

// withinTask is a fit of the rows of one burner control, pooled without one.
func withinTask(kind Kind, fire judge.Fire, y response, m measure, control judge.Control) task {
	name := WithinFit
	if control == "" {
		name = PooledFit
	}
	return task{kind, fire, y, m, name, fits[0].more, control}
}

// pooledTask is the fit of all rows that there are.
func pooledTask(kind Kind, fire judge.Fire, m measure) task {
	return withinTask(kind, fire, responses[0], m, "")
}

// declaredTask is the fit that a declared comparison is made with.
func declaredTask(p Primary) task {
	return withinTask(p.Kind, p.Fire, responses[0], byLength, p.Control)
}

// notMade is what a fit lacks, and why.
func (t task) notMade(part Part, why Lack) NotMade {
	return NotMade{
		Kind: t.kind, Fire: t.fire, Response: t.response.name, Measure: t.measure.name, Fit: t.fit, Control: t.control, Part: part, Why: why,
	}
}

// fitted is a fit with what it was made of.
type fitted struct {
	*Regression
	rows   []*Row
	design *design
	counts Counts
	rare   int // rows of burner controls left out as too rare
}

// regress makes a fit of the rows that have all it takes.
func (t task) regress(all []*Row) (*fitted, error) {
	rows := slices.DeleteFunc(slices.Clone(all), func(r *Row) bool { return !whole(t.response.of(r), t.measure.of(r)) })
	rare := len(rows)
	if t.fit == ControlFit {
		rows = commonControls(rows)
	}
	rare -= len(rows)
	if len(rows) < fewest {
		return nil, fmt.Errorf("%d rows, %d needed", len(rows), fewest)
	}
	d := newDesign(t.kind, rows, t.measure)
	t.more(d)
	if err := d.independent(); err != nil {
		return nil, err
	}
	fit, err := Regress(d.data(t.response.of))
	if err != nil {
		return nil, err
	}
	return &fitted{fit, rows, d, countsOf(rows), rare}, nil
}

// countsOf counts what lies behind rows.
func countsOf(rows []*Row) Counts {
	type segment struct {
		serial string
		fire   judge.Fire
		set    day.Day
	}
	type reading struct {
		serial string
		index  int
	}
	units, sites, segments, readings := map[string]bool{}, map[string]bool{}, map[segment]bool{}, map[reading]bool{}
	for _, r := range rows {
		units[r.Serial], sites[r.Site], segments[segment{r.Serial, r.Fire, r.Set}] = true, true, true
		for _, i := range r.readings {
			readings[reading{r.Serial, i}] = i >= 0
		}
	}
	behind := 0
	for _, is := range readings {
		behind += int(one(is))
	}
	return Counts{len(rows), len(units), len(sites), len(segments), behind}
}

// column finds a coefficient, -1 where the fit has none of that name.
func (f *fitted) column(name string) int { return slices.Index(f.Names, name) }

// vent is the vent's effect: that of the most frequent burner control in the fit
// by control, of all units in the others.
func (f *fitted) vent() Contrast { return f.Coefficient(f.column(VentName)) }

// fitting makes the fits of a study and writes down what they say.
type fitting struct{ *Study }

// fit makes one fit and its effects, or says why not.
func (s fitting) fit(t task, all []*Row) {
	f, err := t.regress(all)
	if err != nil {
		s.NotMade = append(s.NotMade, t.notMade(Whole, Failed{Err: err}))
		return
	}
	if f.rare > 0 {
		s.NotMade = append(s.NotMade, t.notMade(Whole, RareControls{Rows: f.rare}))
	}
	for _, c := range f.design.dropped {
		if !c.analyzer {
			s.NotMade = append(s.NotMade, t.notMade(Whole, Repeats{Column: c.name}))
		}
	}
	for i, name := range f.Names {
		e := t.effect(name, f.design.columns[i].unit, f.Coefficient(i), f.counts)
		e.Primary = name == VentName && t.is(declaredTask(s.Settings.Primary))
		s.Effects = append(s.Effects, e)
	}
	if t.fit == ControlFit {
		s.controls(t, f)
	}
	if (t.fit == PooledFit || t.fit == WithinFit) && t.measure.name == ByLength && t.response.name == responses[0].name {
		s.Diagnostics = append(s.Diagnostics, s.diagnose(t, f))
	}
}

// effect is one coefficient as reports show it.
func (t task) effect(name, unit string, c Contrast, n Counts) Effect {
	return Effect{
		Kind: t.kind, Fire: t.fire, Response: t.response.name, Measure: t.measure.name, Fit: t.fit, Name: name,
		Unit: unitOf(t.response.unit, unit), Contrast: c, Counts: n, Control: t.control,
	}
}

// is says whether two tasks are one.
func (t task) is(o task) bool { return t.notMade(Whole, nil) == o.notMade(Whole, nil) }

// controls adds the vent's effect within each burner control, and the test whether
// they differ.
func (s fitting) controls(t task, f *fitted) {
	level, names := levelsOf(f.rows, controlOf)
	var differences []int
	test := JointTest{
		Kind: t.kind, Fire: t.fire, Response: t.response.name, Measure: t.measure.name, Fit: t.fit, Name: "vent x burner control",
		Counts: f.counts,
	}
	for i, control := range names {
		weights := f.unit(f.column(VentName))
		if i > 0 {
			k := f.column(ventByName + control)
			if k < 0 {
				continue
			}
			weights[k] = 1
			differences, test.Coefficients = append(differences, k), append(test.Coefficients, f.Names[k])
		}
		own := slices.DeleteFunc(slices.Clone(f.rows), func(r *Row) bool { return level(r) != control })
		e := t.effect(ventAtName+control, f.design.columns[f.column(VentName)].unit, f.combine(weights), countsOf(own))
		e.WithinControl, e.Control = true, judge.Control(control)
		s.Effects = append(s.Effects, e)
	}
	if len(differences) == 0 {
		return
	}
	var err error
	if test.Joint, err = f.wald(differences); err != nil {
		s.NotMade = append(s.NotMade, t.notMade(ATest, Failed{Err: err}))
		return
	}
	s.Tests = append(s.Tests, test)
}

func whole(v ...float64) bool {
	return !slices.ContainsFunc(v, func(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) })
}
