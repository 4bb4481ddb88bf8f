package study

import (
	"math"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/fleet"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Kind is the question a row answers.
type Kind string

// The three questions.
const (
	Installation Kind = "installation" // start-up as found less factory test
	Rerouting    Kind = "re-routing"   // as found on the altered vent less as left before
	Drift        Kind = "drift"        // next as found on the same vent less as left
)

// Kinds lists the questions in the order in which reports give them.
var Kinds = [3]Kind{Installation, Rerouting, Drift}

// LowLessHigh is the fire of rows that are low fire less high fire of one event.
const LowLessHigh judge.Fire = "low less high"

// Row is one difference within a unit. A missing number is NaN.
type Row struct {
	Kind                           Kind
	Serial, Site, Area, Line, Fuel string
	Control                        judge.Control
	Fire                           judge.Fire
	Source                         string
	Reason                         judge.Reason // of the later visit
	Before, After                  day.Day      // days
	Set                            day.Day      // day of the last setting before, day.None unknown
	AnalyzerBefore, AnalyzerAfter  string
	CO2Points                      float64 // change of CO2 less target
	LnLambda                       float64 // change of the logarithm of the air number
	Years                          float64 // between
	AgeYears                       float64 // at the middle
	Settled                        float64 // how much of the first year after a setting lies between, years
	OfFan, OfRun                   float64 // what the vent is (drift) or became more (shifts), by physics and by length
	OfFanLow, OfFanHigh            float64 // OfFan with the lowest and the highest resistance of fittings
	LongestM                       float64 // the longest run of the model line
	LengthM, DiameterM             float64 // of the vent after
	LengthBeforeM                  float64 // of re-routing: of the vent before
	VentYears                      float64 // of re-routing: the measure by length times the years on each vent between; 0 else
	Elbows90, Elbows45             int     // -1 where not known
	AirFrom                        string
	AirK                           float64 // change of combustion air
	AirC                           float64 // combustion air at the later reading
	AltitudeM                      float64
	PhysicsPoints, PhysicsLnLambda Physics // what the change of loss does by itself (Predictions)

	removed  bool    // by the judgement of readings: only in the sensitivity
	readings [4]int  // indices of the readings behind, -1 for none
	fanYears float64 // VentYears by loss
}

// Physics is what first principles say of a row: by the lowest, the middle and the
// highest resistance of fittings. NaN where they say nothing.
type Physics struct{ Low, Middle, High float64 }

// Flow counts what became of units and pairs of readings.
type Flow struct {
	Units, WithReadings int
	UnitsWith           map[Kind]int // units with a row at high, single or low fire
	Rows                map[Kind]int
	LeftOut             map[Unfit]int   // pairs of readings by why they make no row
	NotFitted           map[Missing]int // rows by what they lack for any fit
	Removed             int             // readings that the judgement takes out of fits, with a target, at these fires
	TypedLengths        []estimate.TypedVent
}

// BenchAirC is the air at a factory's bench that does not say (common practice, no
// source).
const BenchAirC = 20

// MostYears is the longest time between the readings of a row.
const MostYears = 3

// rowMaker makes rows of one fleet.
type rowMaker struct {
	judged   *fleet.Judged
	judge    *judge.Config
	vents    *estimate.VentChoice
	air      airNumbers
	settings Config
	typed    func(lengthM float64) bool
	keepAll  bool // readings that the judgement takes out too

	uses     []judge.Use // of the unit at hand
	sameAs   []int       // of its vent runs: the first of those that differ by re-measuring alone
	set      day.Day     // day of the last setting at the fire at hand
	unitRows map[Kind]bool
	rows     []Row
	flow     Flow
}

// every makes the rows of all units.
func (m *rowMaker) every() {
	for i, h := range m.judged.Histories {
		m.unit(h, m.judged.Judgements[i].Uses)
	}
}

// unit makes a unit's rows.
func (m *rowMaker) unit(h *judge.History, uses []judge.Use) {
	m.flow.Units++
	if len(h.Readings) > 0 {
		m.flow.WithReadings++
	}
	from := len(m.rows)
	m.uses, m.sameAs, m.unitRows = uses, sameVents(h), map[Kind]bool{}
	for _, fire := range []judge.Fire{judge.High, judge.Low, judge.Single} {
		m.fire(h, fire)
	}
	for k := range m.unitRows {
		m.flow.UnitsWith[k]++
	}
	m.offsets(from)
}

// fire pairs the readings of one fire that follow each other.
func (m *rowMaker) fire(h *judge.History, fire judge.Fire) {
	last := -1
	m.set = day.None
	for i := range h.Readings {
		x := &h.Readings[i]
		if x.Fire != fire || x.Condition == judge.Between || math.IsNaN(m.judge.Deviation(x)) {
			continue
		}
		if m.removed(i) {
			m.flow.Removed++
			if !m.keepAll {
				continue
			}
		}
		if last >= 0 && x.Condition == judge.AsFound {
			m.pair(h, last, i)
		}
		switch v := &h.Visits[x.Visit]; {
		case v.Reason == judge.FactoryTest:
			m.set = max(x.Day, h.Unit.Installed)
		case v.Adjusted(fire) != judge.No:
			m.set = x.Day
		}
		last = i
	}
}

// removed says whether the judgement takes a reading out.
func (m *rowMaker) removed(i int) bool { return m.uses[i] >= judge.StateOnly }

// pair adds the row of two readings that follow each other, or counts why not.
func (m *rowMaker) pair(h *judge.History, before, after int) {
	a, b := &h.Readings[before], &h.Readings[after]
	factory := h.Visits[a.Visit].Reason == judge.FactoryTest
	if why := m.unfit(h, a, b); why != MakesARow {
		m.flow.LeftOut[why]++
		return
	}
	run := &h.VentRuns[b.VentRun]
	r := Row{
		Kind: Drift, Serial: h.Unit.Serial, Site: h.Unit.Site, Area: h.Unit.Area, Line: h.Unit.ModelLine, Control: h.Unit.Control, Fuel: b.Fuel,
		Fire: b.Fire, Source: h.Visits[b.Visit].Source, Reason: h.Visits[b.Visit].Reason, Before: a.Day, After: b.Day, Set: m.set,
		AnalyzerBefore: a.Analyzer, AnalyzerAfter: b.Analyzer,
		CO2Points: m.judge.Deviation(b) - m.judge.Deviation(a), LnLambda: m.air.ln(b.Fuel, m.judge.CO2(b)) - m.air.ln(a.Fuel, m.judge.CO2(a)),
		Years: yearsBetween(a.Day, b.Day), AgeYears: math.NaN(), Settled: settled(m.set, b.Day) - settled(m.set, a.Day),
		LengthM: run.LengthM, LengthBeforeM: math.NaN(), DiameterM: run.DiameterM, Elbows90: run.Elbows90, Elbows45: run.Elbows45,
		AirFrom: run.AirFrom,
		AirK:    b.AirTempC - a.AirTempC, AirC: b.AirTempC, AltitudeM: h.AltitudeOn(b.Day), removed: m.removed(before) || m.removed(after),
		readings: [4]int{before, after, -1, -1},
	}
	if h.Unit.Installed != day.None {
		r.AgeYears = (float64(a.Day)+float64(b.Day))/2/daysPerYear - float64(h.Unit.Installed)/daysPerYear
	}
	now, was := m.measured(h, run), runMeasures{}
	switch {
	case factory:
		r.Kind = Installation
		if math.IsNaN(a.AirTempC) {
			r.AirK = b.AirTempC - BenchAirC
		}
		was = m.factoryRun(h, run)
	case m.sameAs[a.VentRun] != m.sameAs[b.VentRun]:
		r.Kind = Rerouting
		r.LengthBeforeM = h.VentRuns[a.VentRun].LengthM
		was = m.measured(h, &h.VentRuns[a.VentRun])
		on := min(max(run.From, a.Day), b.Day)
		r.VentYears = was.ofRun*yearsBetween(a.Day, on) + now.ofRun*yearsBetween(on, b.Day)
		r.fanYears = was.ofFan.Middle*yearsBetween(a.Day, on) + now.ofFan.Middle*yearsBetween(on, b.Day)
	}
	r.take(now, was)
	m.predict(&r, m.judge.TargetCO2(&b.Target, b.Fuel), now, was)
	if r.Site == "" {
		r.Site = "unit " + r.Serial // a site of its own
	}
	m.rows = append(m.rows, r)
	m.flow.Rows[r.Kind]++
	m.unitRows[r.Kind] = true
}

// unfit says why two readings make no row.
func (m *rowMaker) unfit(h *judge.History, a, b *judge.Reading) Unfit {
	factory := h.Visits[a.Visit].Reason == judge.FactoryTest
	years := yearsBetween(a.Day, b.Day)
	switch {
	case a.Condition == judge.AsFound && h.Visits[a.Visit].Adjusted(a.Fire) != judge.No:
		return AsLeftGone
	case h.Tied(a) != nil || h.Tied(b) != nil:
		return FoundTwice
	case h.MovedBetween(a.Day, b.Day):
		return MovedBetween
	case a.Fuel != b.Fuel || a.FuelUncertain || b.FuelUncertain:
		return OtherFuel
	case m.uncertain(b) || !factory && m.uncertain(a):
		return VentUnknown
	case m.typed(h.VentRuns[b.VentRun].LengthM) || !factory && m.typed(h.VentRuns[a.VentRun].LengthM):
		return LengthTyped
	case years > MostYears || years <= 0 && !factory:
		return OutOfTime
	}
	return MakesARow
}

// uncertain says that a reading's vent is not known, or may be another than the
// one on record by more than its length's error.
func (m *rowMaker) uncertain(x *judge.Reading) bool {
	if x.VentRun < 0 {
		return true
	}
	next := x.VentRun + 1
	return x.VentUncertain && (next >= len(m.sameAs) || m.sameAs[next] != m.sameAs[x.VentRun])
}

const daysPerYear = 365.25

func yearsBetween(a, b day.Day) float64 { return float64(b-a) / daysPerYear }

// settled is how much of the first year after a setting has gone by on a day; none
// is left where nobody is known to have set the burner.
func settled(set, d day.Day) float64 {
	if set == day.None {
		return 1
	}
	return math.Min(math.Max(yearsBetween(set, d), 0), 1)
}

// offsets adds low less high for the rows from on that share both days.
func (m *rowMaker) offsets(from int) {
	type event struct {
		kind          Kind
		before, after day.Day
	}
	high := map[event]*Row{}
	unit := m.rows[from:]
	for i := range unit {
		if r := &unit[i]; r.Fire == judge.High {
			high[event{r.Kind, r.Before, r.After}] = r
		}
	}
	var more []Row
	for _, r := range unit {
		other := high[event{r.Kind, r.Before, r.After}]
		if r.Fire != judge.Low || other == nil {
			continue
		}
		r.Fire, r.CO2Points, r.LnLambda = LowLessHigh, r.CO2Points-other.CO2Points, r.LnLambda-other.LnLambda
		r.PhysicsPoints, r.PhysicsLnLambda = r.PhysicsPoints.less(other.PhysicsPoints), r.PhysicsLnLambda.less(other.PhysicsLnLambda)
		r.removed = r.removed || other.removed
		copy(r.readings[2:], other.readings[:2])
		more = append(more, r)
	}
	m.rows = append(m.rows, more...)
}

func (p Physics) less(o Physics) Physics {
	return Physics{p.Low - o.Low, p.Middle - o.Middle, p.High - o.High}
}
