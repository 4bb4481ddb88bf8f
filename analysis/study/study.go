package study

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"fluedrift/analysis/estimate"
	"fluedrift/model/combustion"
	"fluedrift/model/judge"
)

// Settings are how a study is made.
type Settings struct {
	Bound   float64 // points of CO2 (or a year) within which an effect is called none
	Primary Primary
	Draws   int // behind the band over all places
	Seed    uint64
}

// Primary is the one contrast declared before the data are looked at; all others
// are exploratory.
type Primary struct {
	Kind Kind
	Fire string
}

// Study is the result.
type Study struct {
	Settings Settings
	AsOf     int32
	Rows     []Row
	Flow     Flow
	Effects  []Effect
	Curves   []Curve
	NotMade  []string // fits that the data did not carry, with why
}

// Effect is one coefficient of one fit.
type Effect struct {
	Kind                               Kind
	Fire, Response, Measure, Fit, Name string
	Unit                               string
	Contrast                           Contrast
	Equivalence                        Equivalence // of the vent's effect in points alone; Bound 0 elsewhere
	Primary                            bool
	Behind
}

// Curve is the effect of the vent without the assumption of a line.
type Curve struct {
	Kind          Kind
	Fire, Measure string
	Knots         []float64
	Band          Band // points, with no change of air
	F, P          float64
	At, Change    []float64 // of the rows: measure, and change of CO2
}

// Measures of a vent.
const (
	ByFan    = "loss over the fan's pressure"
	ByLength = "equivalent length over the longest run"
)

// Names of columns.
const (
	ventName = "vent"
	fewest   = 30 // rows a fit needs
)

// responses are what is explained.
var responses = []struct {
	name, unit string
	of         func(*Row) float64
}{
	{"CO2", "points", func(r *Row) float64 { return r.CO2Points }},
	{"ln lambda", "1", func(r *Row) float64 { return r.LnLambda }},
}

// measures are how vents are told apart, side by side on the rows that have both.
var measures = []struct {
	name string
	of   func(*Row) float64
}{{ByFan, func(r *Row) float64 { return r.OfFan }}, {ByLength, func(r *Row) float64 { return r.OfRun }}}

// Run makes the study of a fleet. The histories are not changed.
func Run(histories []*judge.History, rules estimate.Rules, s Settings) (*Study, error) {
	vents, err := estimate.ChooseVents(histories, &rules, nil)
	if err != nil {
		return nil, fmt.Errorf("vent study: %w", err)
	}
	m := rowMaker{judge: &rules.Judge, vents: &vents, lnAir: airNumbers(&rules.Judge), flow: Flow{Rows: map[Kind]int{}, LeftOut: map[string]int{}}}
	for _, h := range histories {
		m.unit(h)
	}
	out := &Study{Settings: s, AsOf: rules.AsOf, Rows: m.rows, Flow: m.flow}
	for _, kind := range []Kind{Installation, Rerouting, Drift} {
		for _, fire := range []string{judge.High, judge.Low, LowLessHigh} {
			out.question(kind, fire)
		}
	}
	return out, nil
}

// airNumbers gives the logarithm of the air number by fuel and CO2; NaN for a fuel
// without a composition.
func airNumbers(j *judge.Rules) func(string, float64) float64 {
	burns := map[string]combustion.Stoichiometry{}
	for name, gas := range j.Gases {
		if s, err := gas.Burn(j.Fuels[name].Air); err == nil {
			burns[name] = s
		}
	}
	return func(fuel string, co2 float64) float64 {
		s, ok := burns[fuel]
		if !ok {
			return math.NaN()
		}
		return math.Log(s.LambdaFromCO2(co2))
	}
}

// question makes the fits of one question at one fire; a single fire goes with high.
func (s *Study) question(kind Kind, fire string) {
	var all []*Row
	for i := range s.Rows {
		r := &s.Rows[i]
		same := r.Fire == fire || fire == judge.High && r.Fire == judge.Single
		if r.Kind == kind && same && whole(r.OfRun, r.CO2Points, r.AirK) {
			all = append(all, r)
		}
	}
	both := slices.DeleteFunc(slices.Clone(all), func(r *Row) bool { return !whole(r.OfFan) })
	for _, m := range measures {
		rows := both
		if len(both) < fewest { // without a fan's pressure there is one measure
			rows = all
		}
		for _, y := range responses {
			for _, fit := range fits {
				s.fit(task{kind, fire, y.name, y.unit, m.name, fit.name, y.of, m.of, fit.columns}, rows)
			}
		}
		s.curve(kind, fire, m.name, m.of, rows)
	}
}

func whole(v ...float64) bool {
	return !slices.ContainsFunc(v, func(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) })
}

// task is one fit.
type task struct {
	kind                             Kind
	fire, response, unit, measure, f string
	y, z                             func(*Row) float64
	columns                          func([]*Row, func(*Row) float64) ([]string, [][]float64)
}

// fit makes one fit and its effects, or says why not.
func (s *Study) fit(t task, all []*Row) {
	rows := slices.DeleteFunc(slices.Clone(all), func(r *Row) bool { return !whole(t.y(r), t.z(r)) })
	label := fmt.Sprintf("%s, %s, %s by %s, %s", t.kind, t.fire, t.response, t.measure, t.f)
	if len(rows) < fewest {
		s.NotMade = append(s.NotMade, fmt.Sprintf("%s: %d rows, %d needed", label, len(rows), fewest))
		return
	}
	names, x := t.columns(rows, t.z)
	d := Data{Names: names, X: x}
	for _, r := range rows {
		d.Y, d.Cluster = append(d.Y, t.y(r)), append(d.Cluster, r.Site)
	}
	behind := behindRows(rows)
	if t.kind == Drift { // a rate: every column goes with the time between
		for i, r := range rows {
			for k := range x[i] {
				if names[k] != airName {
					x[i][k] *= r.Years
				}
			}
		}
	}
	fit, err := Regress(d)
	if err != nil {
		s.NotMade = append(s.NotMade, label+": "+err.Error())
		return
	}
	per := t.unit
	if t.kind == Drift {
		per += " a year"
	}
	for i, name := range names {
		e := Effect{Kind: t.kind, Fire: t.fire, Response: t.response, Measure: t.measure, Fit: t.f, Name: name, Unit: per, Contrast: fit.Coefficient(i), Behind: behind}
		if name == airName {
			e.Unit = t.unit + " per K"
		}
		if name == ventName && t.response == "CO2" {
			e.Equivalence = e.Contrast.Equivalent(s.Settings.Bound)
			e.Primary = t.f == fits[0].name && t.measure == ByLength && s.Settings.Primary == Primary{t.kind, t.fire}
		}
		s.Effects = append(s.Effects, e)
	}
}

// curve fits a natural spline beside the line.
func (s *Study) curve(kind Kind, fire, measure string, z func(*Row) float64, all []*Row) {
	rows := slices.DeleteFunc(slices.Clone(all), func(r *Row) bool { return !whole(z(r)) })
	if kind == Drift || len(rows) < fewest {
		return
	}
	at, change := make([]float64, len(rows)), make([]float64, len(rows))
	for i, r := range rows {
		at[i], change[i] = z(r), r.CO2Points
	}
	knots := 3
	if len(rows) >= 100 {
		knots = 4
	}
	spline, err := NewSpline(at, knots)
	if err != nil {
		s.NotMade = append(s.NotMade, fmt.Sprintf("curve of %s, %s by %s: %v", kind, fire, measure, err))
		return
	}
	d := Data{Names: []string{"constant", airName}}
	for k := range spline.Basis(0) {
		d.Names = append(d.Names, fmt.Sprintf("curve %d", k+1))
	}
	for _, r := range rows {
		d.X, d.Y, d.Cluster = append(d.X, append([]float64{1, r.AirK}, spline.Basis(z(r))...)), append(d.Y, r.CO2Points), append(d.Cluster, r.Site)
	}
	fit, err := Regress(d)
	var f, p float64
	if err == nil {
		bends := []int{3, 4}[:len(spline.Knots)-2]
		var j Joint
		j, err = fit.Wald(bends)
		f, p = j.F, j.P
	}
	if err == nil {
		c := Curve{Kind: kind, Fire: fire, Measure: measure, Knots: spline.Knots, F: f, P: p, At: at, Change: change}
		x, contrasts := places(spline, at)
		if c.Band, err = fit.Curve(x, contrasts, s.Settings.Draws, s.Settings.Seed); err == nil {
			s.Curves = append(s.Curves, c)
		}
	}
	if err != nil {
		s.NotMade = append(s.NotMade, fmt.Sprintf("curve of %s, %s by %s: %v", kind, fire, measure, err))
	}
}

// places are where a curve is drawn, within the middle 96 % of the data, at mean air
// as recorded: contrasts to the constant, with no change of air.
func places(s Spline, at []float64) (x []float64, rows [][]float64) {
	sorted := slices.Sorted(slices.Values(at))
	const tail, steps = 0.02, 40
	low, high := stat.Quantile(tail, stat.Empirical, sorted, nil), stat.Quantile(1-tail, stat.Empirical, sorted, nil)
	for k := range steps + 1 {
		v := low + (high-low)*float64(k)/steps
		x, rows = append(x, v), append(rows, append([]float64{1, 0}, s.Basis(v)...))
	}
	return x, rows
}
