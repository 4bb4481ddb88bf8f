package demo

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
)

// table is a plain export: its name, layout and rows after the header.
type table struct {
	name   string
	layout layout
	rows   [][]string

	planted []PlantedLine // lines that do not stand
}

// isoFile is the [file] table of the central office's exports.
func isoFile() [][2]string {
	return csvFile(",", "utf-8", ".", "yyyy-mm-dd", [2]string{"missing", `["", "n/a"]`})
}

// plainLayout is a layout of the central office.
func plainLayout(name, record, patterns string, columns []column) layout {
	return layout{name: name, record: record, source: "central", patterns: patterns, dayPattern: "yyyy-mm-dd", file: isoFile(), columns: columns}
}

// registerColumns are the columns of the unit register.
func registerColumns() []column {
	return []column{
		{header: "Serial number", field: "serial"}, {header: "Site", field: "site"}, {header: "Area", field: "area"}, {header: "Plant", field: "plant"},
		{header: "Model line", field: "model_line"}, {header: "Burner control", field: "control", codes: [][2]string{{"fixed fan", "fixed air"}}},
		{header: "Firing", field: "firing"}, {header: "Input MBH", field: "input", unit: "MBH"}, {header: "Installed", field: "installed"},
		{header: "State", field: "state", codes: [][2]string{{"live", "in service"}}}, {header: "State since", field: "state_from"},
		{header: "Altitude ft", field: "altitude", unit: "ft"}, {header: "Latitude", field: "latitude"}, {header: "Longitude", field: "longitude"},
		{header: "Fuel", field: "fuel"}, {header: "Fuel since", field: "fuel_from"}, {header: "Vent since", field: "vent_from"},
		{header: "Vent dia in", field: "vent_diameter", unit: "in"}, {header: "Vent length ft", field: "vent_length", unit: "ft"}, {header: "Vent rise ft", field: "vent_rise", unit: "ft"},
		{header: "Elbows 90", field: "elbows_90"}, {header: "Elbows 45", field: "elbows_45"}, {header: "Terminal", field: "terminal"}, {header: "Vent material", field: "material"},
		{header: "Air from", field: "air_from"}, {header: "Intake dia in", field: "intake_diameter", unit: "in"}, {header: "Intake length ft", field: "intake_length", unit: "ft"},
		{header: "Intake elbows 90", field: "intake_elbows_90"}, {header: "Intake elbows 45", field: "intake_elbows_45"}, {header: "Vent shared in plant", field: "common_vent"},
		{header: "Contract", carry: "contract"},
	}
}

// registerTables are the two exports of the unit register.
func (f *Fleet) registerTables() []table {
	var out []table
	for _, day := range f.registerDays() {
		t := table{name: "unit_register_" + iso(day) + ".csv", layout: plainLayout("unit register", "units", "unit_register_*.csv", registerColumns())}
		units := slices.DeleteFunc(slices.Clone(f.units), func(u *unit) bool { return u.installed > day })
		slices.SortFunc(units, func(a, b *unit) int { return cmp.Compare(a.serial, b.serial) })
		for _, u := range units {
			t.rows = append(t.rows, f.registerRow(u, day))
			if day == f.registerDays()[0] {
				f.spoilRegister(&t, u)
			}
		}
		out = append(out, t)
	}
	return out
}

// registerRow is a unit's line in the register of a day.
func (f *Fleet) registerRow(u *unit, day int32) []string {
	s, v := u.siteOn(day), u.runOn(day)
	state, since := u.state, u.stateFrom
	if since > day || since == noDay {
		state, since = "in service", noDay
	}
	if state == "in service" {
		state = "live"
	}
	control := u.line.control
	if control == "fixed air" {
		control = "fixed fan"
	}
	fuelSince := noDay
	for _, p := range u.fuels {
		if p.from <= day {
			fuelSince = p.recordedFrom
		}
	}
	length := "n/a"
	if !math.IsNaN(v.recordedFt) {
		length = number(v.recordedFt, 0)
	}
	intake := []string{"", "", "", ""}
	if v.airFrom == "own run" {
		intake = []string{number(v.intakeIn, 0), number(v.intakeFt, 0), strconv.Itoa(v.intake90), strconv.Itoa(v.intake45)}
	}
	return slices.Concat([]string{u.serial, s.name, areaName(s.area), u.plantOn(day), u.lineText, control, u.line.firing, strconv.Itoa(u.inputMBH), iso(u.installed),
		state, iso(since), number(math.Round(s.altitudeM/metresPerFoot), 0), number(s.latitude, 4), number(s.longitude, 4),
		u.labelOf(u.fuelOn(day)), iso(fuelSince), iso(v.recordedFrom), number(v.diameterIn, 0), length, number(v.riseFt, 0),
		strconv.Itoa(v.elbows90), strconv.Itoa(v.elbows45), v.terminal, v.material, v.airFrom}, intake, []string{u.commonVentOn(day), u.contract})
}

// plantOn returns the plant a unit belongs to on a day.
func (u *unit) plantOn(day int32) string { return u.siteOn(day).plant }

// commonVentOn returns the plant code where the plant shares its vent.
func (u *unit) commonVentOn(day int32) string {
	if s := u.siteOn(day); s.common == "vent" {
		return s.plant
	}
	return ""
}

// modelLineTable exports targets and bands.
func (f *Fleet) modelLineTable() table {
	columns := []column{{header: "Line", field: "model_line"}, {header: "Fuel", field: "fuel"}, {header: "Fire", field: "fire"}, {header: "Valid from", field: "valid_from"},
		{header: "Target CO2 %", field: "target_co2", unit: "%"}, {header: "Target O2 %", field: "target_o2", unit: "%"},
		{header: "Set rich", field: "set_rich"}, {header: "Set lean", field: "set_lean"}, {header: "Visit rich", field: "act_rich"}, {header: "Visit lean", field: "act_lean"},
		{header: "Longest run ft", field: "longest_run", unit: "ft"}, {header: "Fan in WC", field: "fan_pressure", unit: "in w.c."}, {header: "Factory run ft", field: "factory_run", unit: "ft"}}
	t := table{name: "model_lines_" + iso(f.registerDays()[1]) + ".csv", layout: plainLayout("model lines", "model_lines", "model_lines_*.csv", columns)}
	for _, r := range f.targetRows() {
		co2, o2 := number(r.target, 2), ""
		if r.line.inO2 {
			co2, o2 = "", number(r.target, 2)
		}
		t.rows = append(t.rows, []string{r.line.name, r.fuel, r.line.fireName(r.fire), iso(r.from), co2, o2,
			number(r.set.rich, 2), number(r.set.lean, 2), number(r.act.rich, 2), number(r.act.lean, 2),
			number(r.line.longestFt, 0), number(f.declaredFanPa(r.line)/paPerInWC, 3), strconv.Itoa(factoryRunFt)})
	}
	return t
}

// targetRow is a line of the model line export.
type targetRow struct {
	line     *modelLine
	fuel     string
	fire     int
	from     int32
	target   float64
	set, act band
}

// targetRows are all targets, in the order of the export.
func (f *Fleet) targetRows() []targetRow {
	var rows []targetRow
	for i := range f.lines {
		l := &f.lines[i]
		days := []int32{Day(2001, 1, 1)}
		if l.revisedFrom != noDay {
			days = append(days, l.revisedFrom)
		}
		for _, fuel := range []string{naturalGas.Name, propane.Name} {
			if fuel == propane.Name && l.noPropane {
				continue
			}
			for fire := range l.fires() {
				for _, day := range days {
					rows = append(rows, targetRow{l, fuel, fire, day, l.declared(fuel, fire, day), l.set[fire], l.act[fire]})
				}
			}
		}
	}
	return rows
}

// analyzerTable exports the calibrations of the analyzers in use.
func (f *Fleet) analyzerTable() table {
	columns := []column{{header: "Analyzer", field: "analyzer"}, {header: "Calibrated", field: "calibrated"}, {header: "Read high by CO2 %", field: "found_error", unit: "%"}}
	t := table{name: "analyzer_checks_" + iso(f.calibrationsExported()) + ".csv", layout: plainLayout("analyzer checks", "analyzers", "analyzer_checks_*.csv", columns)}
	for _, id := range f.analyzerIDs() {
		a := f.analyzers[id]
		for n, day := range a.calibrated {
			if day <= f.calibrationsExported() {
				t.rows = append(t.rows, []string{id, iso(day), number(f.foundError(a, n), 2)})
			}
		}
	}
	return t
}

// calibrationsExported is the day on which calibrations were exported.
func (f *Fleet) calibrationsExported() int32 { return f.opt.AsOf - 14 }

// analyzerIDs returns the analyzers in use, in order.
func (f *Fleet) analyzerIDs() []string {
	var ids []string
	for id, a := range f.analyzers {
		if a.used {
			ids = append(ids, id)
		}
	}
	slices.Sort(ids)
	return ids
}

// plantTable exports what units share.
func (f *Fleet) plantTable() table {
	columns := []column{{header: "Plant", field: "plant"}, {header: "Site", field: "site"}, {header: "Serial", field: "serial"}, {header: "Shared", field: "common"}}
	t := table{name: "plants_" + iso(f.registerDays()[1]) + ".csv", layout: plainLayout("plants", "plants", "plants_*.csv", columns)}
	for _, s := range f.sites {
		for _, u := range s.units {
			if s.plant != "" && u.movedTo == nil {
				t.rows = append(t.rows, []string{s.plant, s.name, u.serial, s.common})
			}
		}
	}
	return t
}

// spoilRegister damages or doubles the last row of the earlier register export.
// Only units that did not change before the later one, so that nothing is lost.
func (f *Fleet) spoilRegister(t *table, u *unit) {
	if f.draw(kindRegister, uint64(u.index), 1) >= f.world.Faults.Register || len(u.runs)+len(u.fuels) > 2 {
		return
	}
	row := t.rows[len(t.rows)-1]
	p := PlantedLine{File: t.name, Line: len(t.rows) + 1, Outcome: setAside, Serial: u.serial}
	switch len(t.planted) % 5 {
	case 0:
		p.Reason, p.Kind = "unreadable-number", "letter in input"
		row[7] = row[7][:1] + "O0"
	case 1:
		p.Outcome, p.Kind = duplicate, repeated
		t.rows, p.Line = append(t.rows, row), p.Line+1
	case 2:
		p.Reason, p.Kind = "impossible-date", "installed on 31 February"
		row[8] = "2011-02-31"
	case 3:
		p.Reason, p.Kind = "unknown-code", "unknown control"
		row[5] = "see plate"
	case 4:
		p.Reason, p.Kind = "wrong-field-count", "contract missing"
		t.rows[len(t.rows)-1] = row[:len(row)-1]
	}
	t.planted = append(t.planted, p)
}

// answer is what a person answered about a unit.
type answer struct {
	u          *unit
	day, until int32
	text       string
	vague      bool // written with a word nobody agreed on
}

// answers are a few answers of the last weeks.
func (f *Fleet) answers() []answer {
	var out []answer
	for _, u := range f.units {
		r := f.stream(kindAnswer, uint64(u.index))
		if r.Float64() > 0.012 || u.installed > f.opt.AsOf-60 {
			continue
		}
		a := answer{u: u, day: f.opt.AsOf - 12 - int32(r.IntN(40)), until: noDay}
		a.text = pick(r.Float64(), []string{"planned", "nothing found", "refused", "isolated", "record corrected"}, []float64{4, 2, 1, 1, 2})
		if a.text == "planned" || a.text == "refused" {
			a.until = f.opt.AsOf + 10 + int32(r.IntN(90))
		}
		a.vague = f.draw(kindAnswer, uint64(u.index), 1) < f.world.Faults.Answers
		out = append(out, a)
	}
	return out
}

// answerTable exports the answers.
func (f *Fleet) answerTable() table {
	columns := []column{{header: "Serial", field: "serial"}, {header: "Answered", field: "day"}, {header: "Answer", field: "answer"}, {header: "Until", field: "until"}}
	t := table{name: fmt.Sprintf("answers_%s.csv", iso(f.opt.AsOf-10)), layout: plainLayout("answers", "answers", "answers_*.csv", columns)}
	for _, a := range f.answers() {
		row := []string{a.u.serial, iso(a.day), a.text, iso(a.until)}
		if a.vague {
			row[2] = "maybe later"
			t.planted = append(t.planted, PlantedLine{t.name, len(t.rows) + 2, setAside, "unknown-code", "unknown answer", a.u.serial})
		}
		t.rows = append(t.rows, row)
	}
	return t
}
