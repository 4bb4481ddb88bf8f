package worlds

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"fluedrift/datasets/demo"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Histories returns the fleet as a perfect reader of the exports would have it
// on the as-of day, by serial: damaged lines and doubles absent, corrections
// applied, units of measure converted. Marks are left empty. Serials that are in
// no register come as units not in the register.
func (f *DemoFleet) Histories() []judge.History {
	bySerial := map[string][]*demo.Entry{}
	for _, e := range f.Entries {
		if e.Role == demo.Repeated || e.Role == demo.EnteredTwo || e.Role == demo.Correction {
			continue
		}
		serial := e.Serial
		if serial == demo.SerialCase(e.Unit.Serial) {
			serial = e.Unit.Serial
		}
		if r := readable(e); len(r) > 0 {
			bySerial[serial] = append(bySerial[serial], e)
		}
	}
	corrections := map[*demo.Entry]*demo.Entry{}
	for _, e := range f.Entries {
		if e.Role == demo.Correction {
			corrections[e.Twin] = e
		}
	}
	h := &historian{f: f, corrections: corrections, targetLine: f.targetLines(), answers: map[string][]judge.Answer{}}
	for _, a := range f.Answers() {
		if a.Vague {
			continue
		}
		h.answers[a.Unit.Serial] = append(h.answers[a.Unit.Serial], judge.Answer{Day: a.Day, Until: a.Until, Answer: a.Text})
	}
	var out []judge.History
	registered := map[string]bool{}
	for _, u := range f.Units {
		registered[u.Serial] = true
		out = append(out, h.history(u, bySerial[u.Serial]))
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

// readable returns the indices of an entry's values that can be read.
func readable(e *demo.Entry) []int {
	var out []int
	for k := range e.Values {
		n := k
		if len(e.Lines) != len(e.Values) {
			n = 0
		}
		x := e.AsRead(k)
		switch e.Lines[n].Outcome {
		case demo.Accepted, demo.Superseded, demo.CellAside, demo.ReadingAside:
			if e.Values[k].HasGas() && !x.HasGas() {
				continue
			}
			out = append(out, k)
		}
	}
	return out
}

// historian turns entries into histories.
type historian struct {
	f           *DemoFleet
	corrections map[*demo.Entry]*demo.Entry
	targetLine  map[targetKey]int
	answers     map[string][]judge.Answer
}

// targetKey finds a line of the model line export.
type targetKey struct {
	line, fuel string
	fire       int
	from       day.Day
}

// targetLines returns the line numbers of the model line export.
func (f *DemoFleet) targetLines() map[targetKey]int {
	out := map[targetKey]int{}
	for i, r := range f.TargetRows() {
		out[targetKey{r.Line.Name, r.Fuel, r.Fire, r.From}] = i + 2
	}
	return out
}

// history is one registered unit.
func (h *historian) history(u *demo.Unit, entries []*demo.Entry) judge.History {
	var out judge.History
	out.Fuels, out.VentRuns = h.f.FuelPeriods(u, entries), h.f.ventRuns(u, entries)
	for _, e := range entries {
		h.add(&out, u, e)
	}
	out.Unit = h.unit(u)
	out.Unit.FirstDay = firstDay(out.Visits)
	fuel := out.Fuels[len(out.Fuels)-1].Fuel
	out.Unit.Fuel = fuel
	for fire := range u.Line.Fires() {
		if t := h.target(u, fuel, fire, h.f.Options.AsOf); t.Declared() {
			out.Targets = append(out.Targets, judge.FireTarget{Fire: u.Line.FireName(fire), Target: t})
		}
	}
	out.Answers = h.answers[u.Serial]
	return out
}

// stray is a serial that is in no register.
func (h *historian) stray(serial string, entries []*demo.Entry) judge.History {
	var out judge.History
	slices.SortStableFunc(entries, func(a, b *demo.Entry) int { return cmp.Compare(a.Visit.Day, b.Visit.Day) })
	for _, e := range entries {
		h.add(&out, nil, e)
	}
	nan := math.NaN()
	out.Unit = judge.Unit{
		Serial: serial, Source: sourceName(entries[0].Office()), InputKW: nan, Installed: day.None, StateFrom: day.None,
		RemovedDay: day.None,
		FirstDay:   firstDay(out.Visits), AltitudeM: nan, LatitudeDeg: nan, LongitudeDeg: nan,
	}
	return out
}

func firstDay(visits []judge.Visit) day.Day {
	if len(visits) == 0 {
		return day.None
	}
	return visits[0].Day
}

// sourceName is the source group of an office's exports.
func sourceName(office int) string {
	return []string{"north", "south", "west", "factory"}[office]
}

// unit is the register's line in force.
func (h *historian) unit(u *demo.Unit) judge.Unit {
	f := h.f
	d := f.RegisterDays()[1]
	s := u.SiteOn(d)
	out := judge.Unit{
		Serial: u.Serial, Source: "central", Site: s.Name, Area: demo.AreaName(s.Area), ModelLine: u.LineText, Control: u.Line.Control,
		Firing: u.Line.Firing,
		State:  u.State, Plant: s.Plant, InputKW: float64(u.InputMBH) * demo.KWPerMBH, Installed: u.Installed, StateFrom: u.StateFrom,
		RemovedDay: day.None,
		AltitudeM:  math.Round(s.AltitudeM/demo.MetresPerFoot) * demo.MetresPerFoot, LatitudeDeg: s.Latitude, LongitudeDeg: s.Longitude,
		InRegister: true,
	}
	if u.StateFrom == day.None || u.StateFrom > d {
		out.State, out.StateFrom = judge.InService, day.None
	}
	contact := s.Contact()
	carry, err := json.Marshal(map[string]string{
		"contract": u.Contract, "contact_name": contact[0], "contact_phone": contact[1], "address": contact[2],
	})
	if err != nil {
		panic(fmt.Sprintf("contract of %s: %v", u.Serial, err)) // a map of texts always encodes
	}
	out.Carry = string(carry)
	return out
}

// add appends one entry's visit and readings.
func (h *historian) add(out *judge.History, u *demo.Unit, e *demo.Entry) {
	first := readable(e)[0]
	v := judge.Visit{
		ID: e.ID, Day: e.Visit.Day, Minute: -1, Reason: e.ReasonRead(), Technician: e.Tester, Analyzer: e.Meter, AdjustedHigh: e.Flag,
		AdjustedLow: e.Flag,
		Parts:       e.Visit.Parts, NotReached: e.Visit.NotReached, OutdoorTempC: math.NaN(),
		Source: sourceName(e.Office()), Origin: origin(e, first),
	}
	switch e.Office() {
	case demo.LongOffice:
		v.Minute = e.Visit.Minute
		v.OutdoorTempC = (math.Round(e.Visit.OutdoorC*1.8+32) - 32) / 1.8
	case demo.WideOffice:
		v.OutdoorTempC = math.Round(e.Visit.OutdoorC)
	case demo.BookOffice: // the workbook has no columns for them
		v.Parts, v.NotReached = "", ""
	}
	c := h.corrections[e]
	if c != nil {
		v.Origin = origin(c, 0)
	}
	if e.File.Long() {
		v.AdjustedHigh, v.AdjustedLow = adjustedAt(e)
	}
	out.Visits = append(out.Visits, v)
	start := len(out.Readings)
	for _, k := range readable(e) {
		src := e
		if c != nil && (len(e.Lines) != len(e.Values) || k == e.Changed) {
			src = c
		}
		out.Readings = append(out.Readings, h.reading(out, u, src, k, len(out.Visits)-1))
	}
	slices.SortStableFunc(out.Readings[start:], func(a, b judge.Reading) int { return cmp.Compare(a.Fire, b.Fire) })
}

// adjustedAt returns adjusted at high and at low fire as a long form says it: at the
// fires whose lines can be read; an only fire counts as both.
func adjustedAt(e *demo.Entry) (high, low string) {
	for _, k := range readable(e) {
		name := e.Unit.Line.FireName(e.Values[k].Fire)
		if name != judge.Low {
			high = e.Flag
		}
		if name != judge.High {
			low = e.Flag
		}
	}
	return high, low
}

// reading is one value in the context of its day.
func (h *historian) reading(out *judge.History, u *demo.Unit, e *demo.Entry, k, visit int) judge.Reading {
	f, read, nan := h.f, e.AsRead(k), math.NaN()
	x := &read
	r := judge.Reading{
		Visit: visit, Day: e.Visit.Day, Minute: out.Visits[visit].Minute, Fire: e.Unit.Line.FireName(x.Fire), Condition: x.Condition,
		Recorded:    x.Condition,
		RatePercent: nan, CO2Percent: x.CO2, O2Percent: x.O2, COPPM: x.CO, COReferenceO2Percent: nan, COLimit: x.COLimit,
		FlueTempC: x.Flue, AirTempC: x.Air, AirTempAt: "intake", MinutesFiring: x.Minutes, SupplyPa: nan, ManifoldPa: nan,
		FanSpeedRPM: nan, FlameSignalUA: nan, DraftPa: nan,
		CO2Decimals: -1, O2Decimals: -1, Analyzer: e.Meter, Calibrated: day.None, VentRun: -1, Origin: origin(e, k),
	}
	nothing := judge.Target{
		CO2Percent: nan, O2Percent: nan, SetRich: nan, SetLean: nan, ActRich: nan, ActLean: nan, LongestRunM: nan, FanPa: nan,
	}
	if !math.IsNaN(x.CO2) {
		r.CO2Decimals = f.decimals(e, x.CO2, demo.OnlyCO2)
	}
	if !math.IsNaN(x.O2) {
		r.O2Decimals = f.decimals(e, x.O2, demo.OnlyO2)
	}
	switch e.Office() {
	case demo.LongOffice:
		r.COBasis, r.SupplyPa = "air-free", x.Supply*demo.PaPerInWC
		r.FlueTempC, r.AirTempC = (x.Flue-32)/1.8, (x.Air-32)/1.8
	case demo.BookOffice:
		r.COBasis, r.COReferenceO2Percent = "reference", 3
	default:
		r.COBasis = "as measured"
	}
	if a := f.Analyzers[e.Meter]; a != nil {
		if c := calibratedOn(a, min(e.Visit.Day, f.CalibrationsExported())); c != day.None {
			r.Calibrated = c
		}
	}
	if x.Between {
		r.Condition = judge.Between
	}
	r.Target = nothing
	if u == nil {
		return r
	}
	r.VentRun, r.VentUncertain = runAt(out.VentRuns, e.Visit.Day)
	r.Fuel, r.FuelUncertain = demo.FuelAt(out.Fuels, e.Visit.Day)
	r.Target = h.target(u, r.Fuel, x.Fire, e.Visit.Day)
	return r
}

// decimals counts the decimals of a gas as exported: a workbook holds numbers,
// not their noughts, so that a whole number there does not tell.
func (f *DemoFleet) decimals(e *demo.Entry, percent float64, gas demo.Gases) int8 {
	text := f.GasText(percent, gas)
	if e.Office() == demo.BookOffice {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	_, behind, _ := strings.Cut(text, ".")
	if behind == "" {
		return -1
	}
	return int8(len(behind))
}

// target is the target the export declares on a day.
func (h *historian) target(u *demo.Unit, fuel string, fire int, d day.Day) judge.Target {
	nan := math.NaN()
	t := judge.Target{CO2Percent: nan, O2Percent: nan, SetRich: nan, SetLean: nan, ActRich: nan, ActLean: nan, LongestRunM: nan, FanPa: nan}
	l := u.Line
	if u.LineText == "" || fuel == demo.Propane.Name && l.NoPropane {
		return t
	}
	from := day.Of(2001, 1, 1)
	if l.RevisedFrom != day.None && d >= l.RevisedFrom {
		from = l.RevisedFrom
	}
	if d < from {
		return t
	}
	n := h.targetLine[targetKey{l.Name, fuel, fire, from}]
	t.Origin = fmt.Sprintf("%s:%d", h.f.ModelLineFile(), n)
	if l.InO2 {
		t.O2Percent = l.Declared(fuel, fire, d)
	} else {
		t.CO2Percent = l.Declared(fuel, fire, d)
	}
	t.SetRich, t.SetLean, t.ActRich, t.ActLean = l.Set[fire].Rich, l.Set[fire].Lean, l.Act[fire].Rich, l.Act[fire].Lean
	t.LongestRunM, t.FanPa = l.LongestM(), h.f.DeclaredFanPa(l)
	return t
}

// ventRuns are a unit's vent runs as the register shows them.
func (f *DemoFleet) ventRuns(u *demo.Unit, entries []*demo.Entry) []judge.VentRun {
	var out []judge.VentRun
	for i := range u.Runs {
		v := &u.Runs[i]
		x := judge.VentRun{
			From: day.None, Until: day.None, UncertainFrom: day.None, Known: true,
			DiameterM: v.DiameterIn * demo.MetresPerInch, LengthM: v.RecordedFt * demo.MetresPerFoot, RiseM: v.RiseFt * demo.MetresPerFoot,
			Elbows90: v.Elbows90, Elbows45: v.Elbows45, Terminal: v.Terminal, Material: v.Material, AirFrom: v.AirFrom,
			IntakeDiameterM: math.NaN(), IntakeLengthM: math.NaN(), IntakeElbows90: -1, IntakeElbows45: -1,
			CommonVent: u.CommonVentOn(max(v.From, u.Installed)),
		}
		if v.AirFrom == "own run" {
			x.IntakeDiameterM, x.IntakeLengthM = v.IntakeIn*demo.MetresPerInch, v.IntakeFt*demo.MetresPerFoot
			x.IntakeElbows90, x.IntakeElbows45 = v.Intake90, v.Intake45
		}
		if i > 0 {
			x.From, x.UncertainFrom, x.Pinned = f.ExportedFrom(v.RecordedFrom, judge.VentAltered, entries)
			out[i-1].Until = x.From
		}
		out = append(out, x)
	}
	return out
}

// runAt returns the run of a day and whether it might be the next one.
func runAt(runs []judge.VentRun, d day.Day) (int, bool) {
	for i := len(runs) - 1; i > 0; i-- {
		if d >= runs[i].From {
			return i, false
		}
		if runs[i].UncertainFrom != day.None && d > runs[i].UncertainFrom {
			return i - 1, true
		}
	}
	return 0, false
}

// origin names a line of an entry as file:line.
func origin(e *demo.Entry, k int) string {
	if len(e.Lines) == 1 {
		k = 0
	}
	return fmt.Sprintf("%s:%d", e.File.Name, e.Lines[k].Number)
}

// calibratedOn returns the latest calibration on or before a day.
func calibratedOn(a *demo.Analyzer, d day.Day) day.Day {
	if n := a.Period(d); n > 0 {
		return a.Calibrated[n-1]
	}
	return day.None
}
