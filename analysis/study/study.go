package study

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/fleet"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Config says how a study is made.
type Config struct {
	Bound   float64 // points of CO2 (or a year) within which an effect is called none
	Primary Primary
	Draws   int // behind the band over all places
	Seed    uint64
	// FactoryRunM gives the straight vent that units of a model line were set on at
	// the factory, NaN where it is not declared. Nil: none is.
	FactoryRunM func(line, fuel string) float64
	// ReadingSD is the standard deviation of one reading of a fire, of its noise and its
	// analyzer together, points; what is not in it is not known.
	ReadingSD   map[judge.Fire]float64
	Simulations int // fits behind each point of a correction for errors in lengths; 0: no correction
}

// Primary is the one comparison declared before the data are looked at, within one
// burner control; all others are exploratory. What it leaves open is chosen by what
// the designs promise (candidates): no reading takes part in the choice. All controls
// are taken together only where too few rows say which they have.
type Primary struct {
	Kind    Kind
	Fire    judge.Fire
	Control judge.Control
}

// Study is the result.
type Study struct {
	Settings      Config // Primary as chosen
	PrimaryWhy    Chosen // how the declared comparison came to be
	AsOf          day.Day
	Rows          []Row
	Flow          Flow
	Units         []UnitVent
	Effects       []Effect
	Tests         []JointTest
	Curves        []Curve
	Diagnostics   []Diagnostic
	Sensitivities []Sensitivity
	LengthErrors  LengthErrors
	Corrections   []Correction
	Predictions   []Prediction
	NotMade       []NotMade // fits that the data did not carry, with why
	Model         *Model    // nil where it was not asked for

	maker *rowMaker
	lines map[string]*judge.History // a unit of each model line, for At
}

// Run makes the study of a fleet. The histories are not changed.
func Run(j *fleet.Judged, s Config) (*Study, error) {
	out, err := Prepare(j, s)
	if err != nil {
		return nil, err
	}
	out.questions()
	varied{out}.sensitivities()
	out.LengthErrors = lengthErrors(j.Histories, j.Rules.Model.VentErrorSD)
	out.corrections()
	out.predictions()
	return out, nil
}

// Prepare makes the rows and chooses the declared comparison, which is what At needs;
// Run adds all else.
func Prepare(j *fleet.Judged, s Config) (*Study, error) {
	histories, rules := j.Histories, j.Rules.Model
	vents, err := estimate.ChooseVents(histories, &rules, nil)
	if err != nil {
		return nil, fmt.Errorf("vent study: %w", err)
	}
	typed := estimate.TypedLengths(histories)
	s.FactoryRunM = declaredRuns(histories, s.FactoryRunM)
	m := &rowMaker{
		judged: j, judge: &rules.Judge, vents: &vents, air: airNumbersOf(&rules.Judge), settings: s,
		typed: func(lengthM float64) bool {
			return slices.ContainsFunc(typed, func(t estimate.TypedVent) bool { return math.Abs(t.LengthM-lengthM) < 1e-3 })
		},
	}
	m.flow = newFlow(typed)
	m.every()
	out := &Study{Settings: s, AsOf: rules.AsOf, Rows: m.rows, Flow: m.flow, maker: m, lines: map[string]*judge.History{}}
	for _, h := range histories {
		if _, ok := out.lines[h.Unit.ModelLine]; !ok && len(h.Targets) > 0 {
			out.lines[h.Unit.ModelLine] = h
		}
	}
	out.units(histories)
	choose(out)
	return out, nil
}

func newFlow(typed []estimate.TypedVent) Flow {
	return Flow{UnitsWith: map[Kind]int{}, Rows: map[Kind]int{}, LeftOut: map[Unfit]int{}, NotFitted: map[Missing]int{}, TypedLengths: typed}
}

// everyRow makes the rows of readings that the judgement takes out too.
func (s *Study) everyRow() []Row {
	all := *s.maker
	all.keepAll, all.rows, all.flow = true, nil, newFlow(nil)
	all.every()
	return all.rows
}

// declaredRuns fills the factory's run of lines that declare none with the middle of
// those declared, so that lines do not differ by what is on record; nil where no
// line declares one.
func declaredRuns(histories []*judge.History, of func(line, fuel string) float64) func(line, fuel string) float64 {
	if of == nil {
		return nil
	}
	seen := map[[2]string]bool{}
	var known []float64
	for _, h := range histories {
		key := [2]string{h.Unit.ModelLine, h.Unit.Fuel}
		if v := of(key[0], key[1]); !seen[key] && v >= 0 {
			known = append(known, v)
		}
		seen[key] = true
	}
	if len(known) == 0 {
		return nil
	}
	slices.Sort(known)
	middle := stat.Quantile(0.5, stat.Empirical, known, nil)
	return func(line, fuel string) float64 {
		if v := of(line, fuel); v >= 0 {
			return v
		}
		return middle
	}
}

// fires are those looked at.
var fires = []judge.Fire{judge.High, judge.Low, LowLessHigh}

// questions makes all fits.
func (s *Study) questions() {
	of := fitting{s}
	for _, kind := range Kinds {
		for _, fire := range fires {
			rows := s.rowsOf(s.Rows, kind, fire)
			for _, m := range measures {
				for _, y := range responses {
					for _, fit := range fits {
						of.fit(task{kind, fire, y, m, fit.name, fit.more, ""}, rows)
					}
					for _, c := range commonest(rows) {
						of.fit(withinTask(kind, fire, y, m, c), within(rows, c))
					}
				}
			}
			of.curves(kind, fire, rows)
		}
	}
}

// corrections takes the errors of recorded lengths out of the vent's effect of each
// question at the declared fire.
func (s *Study) corrections() {
	for _, kind := range Kinds {
		size := &s.LengthErrors
		c := Correction{Kind: kind, Fire: s.Settings.Primary.Fire, Measure: ByLength, ErrorSD: size.SD, SizeLow: size.Low, SizeHigh: size.High}
		rows := within(s.rowsOf(s.Rows, kind, c.Fire), s.Settings.Primary.Control)
		c.Counts = countsOf(rows)
		switch {
		case size.From == NotKnown:
			c.NotMade = ErrorsUnknown{}
		case s.Settings.Simulations == 0:
			c.NotMade = NoSimulations{}
		default:
			c.NotMade = failed(c.simex(rows, s.Settings))
		}
		s.Corrections = append(s.Corrections, c)
	}
}

// predictions fits what physics says of the rows beside what was found, by burner
// control and the same columns, so that both have one unit.
func (s *Study) predictions() {
	for _, kind := range Kinds {
		for _, fire := range []judge.Fire{judge.High, judge.Low} {
			controls := map[judge.Control][]*Row{}
			for _, r := range s.rowsOf(s.Rows, kind, fire) {
				controls[r.Control] = append(controls[r.Control], r)
			}
			for _, c := range slices.Sorted(maps.Keys(controls)) {
				for _, m := range measures {
					for _, y := range responses {
						s.Predictions = append(s.Predictions, withinTask(kind, fire, y, m, c).predict(c, controls[c]))
					}
				}
			}
		}
	}
}

// rowsOf are the rows of one question and fire that fits by length take; a single
// fire goes with high. Of those, fits by loss take the ones that have it.
func (s *Study) rowsOf(rows []Row, kind Kind, fire judge.Fire) []*Row {
	var all []*Row
	for i := range rows {
		r := &rows[i]
		if r.Kind == kind && (r.Fire == fire || fire == judge.High && r.Fire == judge.Single) && r.missing() == NothingMissing {
			all = append(all, r)
		}
	}
	return all
}

// missing says what a row lacks for any fit.
func (r *Row) missing() Missing {
	switch {
	case !whole(r.OfRun):
		return NoMeasure
	case !whole(r.AirK):
		return NoAir
	case r.Kind == Drift && !whole(r.AgeYears):
		return NoInstallDay
	}
	return NothingMissing
}

// units lists the vents as they are now and counts rows that no fit takes.
func (s *Study) units(histories []*judge.History) {
	rows := map[string]int{}
	for i := range s.Rows {
		r := &s.Rows[i]
		rows[r.Serial]++
		if why := r.missing(); why != NothingMissing && r.Fire != LowLessHigh {
			s.Flow.NotFitted[why]++
		}
	}
	for _, h := range histories {
		if len(h.VentRuns) == 0 {
			continue
		}
		run := &h.VentRuns[len(h.VentRuns)-1]
		v := s.maker.measured(h, run)
		s.Units = append(s.Units, UnitVent{
			Serial: h.Unit.Serial, Site: h.Unit.Site, Area: h.Unit.Area, Line: h.Unit.ModelLine, Control: h.Unit.Control, Fuel: h.Unit.Fuel,
			LengthM: run.LengthM, DiameterM: run.DiameterM, Elbows90: run.Elbows90, Elbows45: run.Elbows45, OfRun: v.ofRun, OfFan: v.ofFan.Middle,
			InputKW: h.Unit.InputKW, LongestRunM: v.longestM, FanPa: v.fanPa, Rows: rows[h.Unit.Serial],
		})
	}
}
