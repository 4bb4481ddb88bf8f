package demo

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"fluedrift/model/judge"
)

// Histories returns the fleet as a perfect reader of the exports would have it
// on the as-of day, by serial: damaged lines and doubles absent, corrections
// applied, units as exported converted. Marks are left empty. Serials that are in no register come as
// units not in the register.
func (f *Fleet) Histories() []judge.History {
	bySerial := map[string][]*entry{}
	for _, e := range f.entries {
		if e.role == repeated || e.role == enteredTwo || e.role == correction {
			continue
		}
		serial := e.serial
		if serial == serialCase(e.u.serial) {
			serial = e.u.serial
		}
		if r := e.reads(); len(r) > 0 {
			bySerial[serial] = append(bySerial[serial], e)
		}
	}
	corrections := map[*entry]*entry{}
	for _, e := range f.entries {
		if e.role == correction {
			corrections[e.twin] = e
		}
	}
	h := &historian{f: f, corrections: corrections, targetLine: f.targetLines(), answers: map[string][]judge.Answer{}}
	for _, a := range f.answers() {
		if a.vague {
			continue
		}
		h.answers[a.u.serial] = append(h.answers[a.u.serial], judge.Answer{Day: a.day, Until: a.until, Answer: a.text})
	}
	var out []judge.History
	registered := map[string]bool{}
	for _, u := range f.units {
		registered[u.serial] = true
		out = append(out, h.history(u, bySerial[u.serial]))
	}
	for serial, entries := range bySerial {
		if !registered[serial] {
			out = append(out, h.stray(serial, entries))
		}
	}
	slices.SortFunc(out, func(a, b judge.History) int { return cmp.Compare(a.Unit.Serial, b.Unit.Serial) })
	for i := range out {
		out[i].Unit.Key = int32(i + 1)
	}
	return out
}

// reads returns the indices of an entry's values that can be read.
func (e *entry) reads() []int {
	var out []int
	for k := range e.values {
		n := k
		if len(e.lines) != len(e.values) {
			n = 0
		}
		if o := e.lines[n].outcome; o == accepted || o == superseded {
			out = append(out, k)
		}
	}
	return out
}

// historian turns entries into histories.
type historian struct {
	f           *Fleet
	corrections map[*entry]*entry
	targetLine  map[targetKey]int
	answers     map[string][]judge.Answer
}

// targetKey finds a line of the model line export.
type targetKey struct {
	line, fuel string
	fire       int
	from       int32
}

// targetLines returns the line numbers of the model line export.
func (f *Fleet) targetLines() map[targetKey]int {
	out := map[targetKey]int{}
	for i, r := range f.targetRows() {
		out[targetKey{r.line.name, r.fuel, r.fire, r.from}] = i + 2
	}
	return out
}

// history is one registered unit.
func (h *historian) history(u *unit, entries []*entry) judge.History {
	var out judge.History
	out.Fuels, out.VentRuns = h.f.fuelPeriods(u, entries), h.f.ventRuns(u, entries)
	for _, e := range entries {
		h.add(&out, u, e)
	}
	out.Unit = h.unit(u)
	out.Unit.FirstDay = firstDay(out.Visits)
	fuel := out.Fuels[len(out.Fuels)-1].Fuel
	out.Unit.Fuel = fuel
	for fire := range u.line.fires() {
		if t := h.target(u, fuel, fire, h.f.opt.AsOf); t.Declared() {
			out.Targets = append(out.Targets, judge.FireTarget{Fire: u.line.fireName(fire), Target: t})
		}
	}
	out.Answers = h.answers[u.serial]
	return out
}

// stray is a serial that is in no register.
func (h *historian) stray(serial string, entries []*entry) judge.History {
	var out judge.History
	slices.SortStableFunc(entries, func(a, b *entry) int { return cmp.Compare(a.v.day, b.v.day) })
	for _, e := range entries {
		h.add(&out, nil, e)
	}
	nan := math.NaN()
	out.Unit = judge.Unit{Serial: serial, Source: sourceName(entries[0].office()), InputKW: nan, Installed: noDay, StateFrom: noDay, RemovedDay: noDay,
		FirstDay: firstDay(out.Visits), AltitudeM: nan, LatitudeDeg: nan, LongitudeDeg: nan}
	return out
}

func firstDay(visits []judge.Visit) int32 {
	if len(visits) == 0 {
		return noDay
	}
	return visits[0].Day
}

// sourceName is the source group of an office's exports.
func sourceName(office int) string {
	return []string{"north", "south", "west", "factory"}[office]
}

// unit is the register's line in force.
func (h *historian) unit(u *unit) judge.Unit {
	f := h.f
	day := f.registerDays()[1]
	s := u.siteOn(day)
	out := judge.Unit{Serial: u.serial, Source: "central", Site: s.name, Area: areaName(s.area), ModelLine: u.lineText, Control: u.line.control, Firing: u.line.firing,
		State: u.state, Plant: s.plant, InputKW: float64(u.inputMBH) * kWPerMBH, Installed: u.installed, StateFrom: u.stateFrom, RemovedDay: noDay,
		AltitudeM: math.Round(s.altitudeM/metresPerFoot) * metresPerFoot, LatitudeDeg: s.latitude, LongitudeDeg: s.longitude, InRegister: true}
	if u.stateFrom == noDay || u.stateFrom > day {
		out.State, out.StateFrom = "in service", noDay
	}
	carry, err := json.Marshal(map[string]string{"contract": u.contract})
	if err != nil {
		panic(fmt.Sprintf("contract of %s: %v", u.serial, err)) // a map of texts always encodes
	}
	out.Carry = string(carry)
	return out
}

// add appends one entry's visit and readings.
func (h *historian) add(out *judge.History, u *unit, e *entry) {
	first := e.reads()[0]
	v := judge.Visit{ID: e.id, Day: e.v.day, Minute: -1, Reason: e.v.reason, Technician: e.tester, Analyzer: e.meter, AdjustedHigh: e.flag, AdjustedLow: e.flag,
		Parts: e.v.parts, NotReached: e.v.notReached, OutdoorTempC: math.NaN(), Source: sourceName(e.office()), Origin: e.origin(first)}
	switch e.office() {
	case longOffice:
		v.Minute = e.v.minute
		v.OutdoorTempC = (math.Round(e.v.outdoorC*1.8+32) - 32) / 1.8
	case wideOffice:
		v.OutdoorTempC = math.Round(e.v.outdoorC)
	case bookOffice: // the workbook has no columns for them
		v.Parts, v.NotReached = "", ""
	}
	c := h.corrections[e]
	if c != nil {
		v.Origin = c.origin(0)
	}
	if e.file.long() {
		v.AdjustedHigh, v.AdjustedLow = e.flags()
	}
	out.Visits = append(out.Visits, v)
	start := len(out.Readings)
	for _, k := range e.reads() {
		src := e
		if c != nil && (len(e.lines) != len(e.values) || k == e.changed) {
			src = c
		}
		out.Readings = append(out.Readings, h.reading(out, u, src, k, len(out.Visits)-1))
	}
	slices.SortStableFunc(out.Readings[start:], func(a, b judge.Reading) int { return cmp.Compare(a.Fire, b.Fire) })
}

// flags returns adjusted at high and at low fire as a long form says it: at the
// fires whose lines can be read; an only fire counts as both.
func (e *entry) flags() (high, low string) {
	for _, k := range e.reads() {
		name := e.u.line.fireName(e.values[k].fire)
		if name != judge.Low {
			high = e.flag
		}
		if name != judge.High {
			low = e.flag
		}
	}
	return high, low
}

// reading is one value in the context of its day.
func (h *historian) reading(out *judge.History, u *unit, e *entry, k, visit int) judge.Reading {
	f, x, nan := h.f, &e.values[k], math.NaN()
	r := judge.Reading{Visit: visit, Day: e.v.day, Minute: out.Visits[visit].Minute, Fire: e.u.line.fireName(x.fire), Condition: x.condition, Recorded: x.condition,
		RatePercent: nan, CO2Percent: x.co2, O2Percent: x.o2, COPPM: x.co, COReferenceO2Percent: nan, COLimit: x.coLimit,
		FlueTempC: x.flue, AirTempC: x.air, AirTempAt: "intake", MinutesFiring: x.minutes, SupplyPa: nan, ManifoldPa: nan, FanSpeedRPM: nan, FlameSignalUA: nan, DraftPa: nan,
		CO2Decimals: -1, O2Decimals: -1, Analyzer: e.meter, Calibrated: noDay, VentRun: -1, Origin: e.origin(k)}
	nothing := judge.Target{CO2Percent: nan, O2Percent: nan, SetRich: nan, SetLean: nan, ActRich: nan, ActLean: nan, LongestRunM: nan, FanPa: nan}
	if !math.IsNaN(x.co2) {
		r.CO2Decimals = f.decimals(e, x.co2, OnlyCO2)
	}
	if !math.IsNaN(x.o2) {
		r.O2Decimals = f.decimals(e, x.o2, OnlyO2)
	}
	switch e.office() {
	case longOffice:
		r.COBasis, r.SupplyPa = "air-free", x.supply*paPerInWC
		r.FlueTempC, r.AirTempC = (x.flue-32)/1.8, (x.air-32)/1.8
	case bookOffice:
		r.COBasis, r.COReferenceO2Percent = "reference", 3
	default:
		r.COBasis = "as measured"
	}
	if a := f.analyzers[e.meter]; a != nil {
		if c := a.calibratedOn(min(e.v.day, f.calibrationsExported())); c != noDay {
			r.Calibrated = c
		}
	}
	if x.between {
		r.Condition = judge.Between
	}
	r.Target = nothing
	if u == nil {
		return r
	}
	r.VentRun, r.VentUncertain = runAt(out.VentRuns, e.v.day)
	r.Fuel, r.FuelUncertain = fuelAt(out.Fuels, e.v.day)
	r.Target = h.target(u, r.Fuel, x.fire, e.v.day)
	return r
}

// decimals counts the decimals of a gas as exported: a workbook holds numbers,
// not their noughts, so that a whole number there does not tell.
func (f *Fleet) decimals(e *entry, percent float64, gas Gases) int8 {
	text := f.gasText(percent, gas)
	if e.office() == bookOffice {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	_, behind, _ := strings.Cut(text, ".")
	if behind == "" {
		return -1
	}
	return int8(len(behind))
}

// target is the target the export declares on a day.
func (h *historian) target(u *unit, fuel string, fire int, day int32) judge.Target {
	nan := math.NaN()
	t := judge.Target{CO2Percent: nan, O2Percent: nan, SetRich: nan, SetLean: nan, ActRich: nan, ActLean: nan, LongestRunM: nan, FanPa: nan}
	l := u.line
	if u.lineText == "" || fuel == propane.Name && l.noPropane {
		return t
	}
	from := Day(2001, 1, 1)
	if l.revisedFrom != noDay && day >= l.revisedFrom {
		from = l.revisedFrom
	}
	if day < from {
		return t
	}
	n := h.targetLine[targetKey{l.name, fuel, fire, from}]
	t.Origin = fmt.Sprintf("%s:%d", h.f.modelLineName(), n)
	if l.inO2 {
		t.O2Percent = l.declared(fuel, fire, day)
	} else {
		t.CO2Percent = l.declared(fuel, fire, day)
	}
	t.SetRich, t.SetLean, t.ActRich, t.ActLean = l.set[fire].rich, l.set[fire].lean, l.act[fire].rich, l.act[fire].lean
	t.LongestRunM, t.FanPa = l.longestM(), h.f.declaredFanPa(l)
	return t
}
