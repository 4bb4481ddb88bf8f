package study

import (
	"math"

	"fluedrift/analysis/estimate"
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

// LowLessHigh is the fire of rows that are low fire less high fire of one event.
const LowLessHigh = "low less high"

// Row is one difference within a unit. A missing number is NaN.
type Row struct {
	Kind                                    Kind
	Serial, Site, Area, Line, Control, Fuel string
	Fire, Source                            string
	Before, After                           int32 // days
	AnalyzerBefore, AnalyzerAfter           string
	CO2Points                               float64 // change of CO2 less target
	LnLambda                                float64 // change of the logarithm of the air number
	Years                                   float64 // between
	AgeYears                                float64 // at the middle
	OfFan, OfRun                            float64 // what the vent is (drift) or became more (shifts), by physics and by length
	LengthM, DiameterM                      float64 // of the vent after
	Elbows90                                int     // -1 where not known
	AirK                                    float64 // change of combustion air
	AltitudeM                               float64
	AirC                                    float64  // combustion air at the later reading
	Readings                                [4]int32 // the unit's readings it is made of; -1 where there are but two
	Segment                                 int32    // the reading that began the stretch in which nobody set the burner or altered the vent
}

// Flow counts what became of units and pairs of readings.
type Flow struct {
	Units, WithReadings int
	Rows                map[Kind]int
	LeftOut             map[string]int // pairs by reason
}

// benchAirC is the air at a factory's bench that does not say (common practice, no
// source).
const benchAirC = 20

// mostYears is the longest time between the readings of a row.
const mostYears = 3

// rowMaker makes rows of one fleet.
type rowMaker struct {
	judge *judge.Rules
	vents *estimate.VentChoice
	lnAir func(fuel string, co2Percent float64) float64
	rows  []Row
	flow  Flow
	start int // the reading that began the segment of the one looked at
}

// unit adds the rows of one unit, fire by fire, then low less high.
func (m *rowMaker) unit(h *judge.History) {
	m.flow.Units++
	if len(h.Readings) > 0 {
		m.flow.WithReadings++
	}
	uses := judge.Judge(h, *m.judge).Uses
	from := len(m.rows)
	for _, fire := range []string{judge.High, judge.Single, judge.Low} {
		m.fire(h, uses, fire)
	}
	m.offsets(from)
}

// fire walks the readings of one fire.
func (m *rowMaker) fire(h *judge.History, uses []judge.Use, fire string) {
	last := -1
	for i := range h.Readings {
		x := &h.Readings[i]
		if x.Fire != fire || uses[i] >= judge.StateOnly || x.Condition == judge.Between || math.IsNaN(m.judge.Deviation(x)) {
			continue
		}
		if last >= 0 && x.Condition == judge.AsFound {
			m.pair(h, last, i)
		}
		if last < 0 || x.Condition == judge.AsLeft || h.Readings[last].VentRun != x.VentRun || touched(h, last) {
			m.start = i
		}
		last = i
	}
}

// touched reports whether the burner may have been set after a reading.
func touched(h *judge.History, reading int) bool {
	r := &h.Readings[reading]
	return r.Condition == judge.AsFound && h.Visits[r.Visit].Adjusted(r.Fire) != judge.No
}

// pair adds the row of two readings that follow each other, or counts why not.
func (m *rowMaker) pair(h *judge.History, before, after int) {
	a, b := &h.Readings[before], &h.Readings[after]
	factory := h.Visits[a.Visit].Reason == judge.FactoryTest
	changed := a.VentRun != b.VentRun
	years := float64(b.Day-a.Day) / 365.25
	switch {
	case touched(h, before):
		m.flow.LeftOut["as left not recorded"]++
		return
	case a.Fuel != b.Fuel || a.FuelUncertain || b.FuelUncertain:
		m.flow.LeftOut["another fuel, or fuel not sure"]++
		return
	case b.VentRun < 0 || b.VentUncertain || !factory && (a.VentRun < 0 || a.VentUncertain):
		m.flow.LeftOut["vent not known on the day"]++
		return
	case years > mostYears || years <= 0 && !factory:
		m.flow.LeftOut["same day, or more than three years apart"]++
		return
	}
	run := &h.VentRuns[b.VentRun]
	r := Row{Kind: Drift, Serial: h.Unit.Serial, Site: h.Unit.Site, Area: h.Unit.Area, Line: h.Unit.ModelLine, Control: h.Unit.Control, Fuel: b.Fuel,
		Fire: b.Fire, Source: h.Visits[b.Visit].Source, Before: a.Day, After: b.Day, AnalyzerBefore: a.Analyzer, AnalyzerAfter: b.Analyzer,
		CO2Points: m.judge.Deviation(b) - m.judge.Deviation(a), LnLambda: m.lnAir(b.Fuel, m.judge.CO2(b)) - m.lnAir(a.Fuel, m.judge.CO2(a)),
		Years: years, AgeYears: math.NaN(), LengthM: run.LengthM, DiameterM: run.DiameterM, Elbows90: run.Elbows90, AirK: b.AirTempC - a.AirTempC, AltitudeM: h.Unit.AltitudeM,
		AirC: b.AirTempC, Readings: [4]int32{int32(before), int32(after), -1, -1}, Segment: int32(m.start)}
	r.OfFan, r.OfRun = m.vents.Both(h, run)
	if h.Unit.Installed != judge.NoDay {
		r.AgeYears = (float64(a.Day)+float64(b.Day))/2/365.25 - float64(h.Unit.Installed)/365.25
	}
	switch {
	case factory:
		r.Kind = Installation
		if math.IsNaN(a.AirTempC) {
			r.AirK = b.AirTempC - benchAirC
		}
	case changed:
		r.Kind = Rerouting
		fan, length := m.vents.Both(h, &h.VentRuns[a.VentRun])
		r.OfFan, r.OfRun = r.OfFan-fan, r.OfRun-length
	}
	if r.Site == "" {
		r.Site = "unit " + r.Serial // a site of its own
	}
	m.rows = append(m.rows, r)
	m.flow.Rows[r.Kind]++
}

// offsets adds low less high for the rows from on that share both days.
func (m *rowMaker) offsets(from int) {
	type event struct {
		kind          Kind
		before, after int32
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
		r.Readings[2], r.Readings[3] = other.Readings[0], other.Readings[1]
		more = append(more, r)
	}
	m.rows = append(m.rows, more...)
}
