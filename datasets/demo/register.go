package demo

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// table is a plain export: its name, layout and rows after the header.
type table struct {
	name   string
	layout layout
	rows   [][]string

	planted []PlantedLine // lines that do not stand
}

// registry is the central office, which exports the unit register and the other
// tables that hold no readings.
type registry struct{ *Truth }

// tables are the exports that hold no readings. Only the first region exports model
// lines, and no other an empty table.
func (reg *registry) tables() []table {
	all := reg.registerTables()
	if reg.region == 0 {
		all = append(all, reg.modelLineTable())
	}
	all = append(all, reg.analyzerTable(), reg.plantTable(), reg.answerTable())
	return slices.DeleteFunc(all, func(t table) bool { return reg.region > 0 && len(t.rows) == 0 })
}

// isoFile is the [file] table of the central office's exports.
func isoFile() [][2]string {
	return csvFile(",", "utf-8", ".", "yyyy-mm-dd", [2]string{"missing", `["", "n/a"]`})
}

// plainLayout is a layout of the central office.
func plainLayout(name, record, patterns string, columns []column) layout {
	return layout{
		name: name, record: record, source: "central", patterns: patterns, dayPattern: "yyyy-mm-dd", file: isoFile(),
		columns: columns,
	}
}

// registerColumns are the columns of the unit register.
func registerColumns() []column {
	return []column{
		{header: "Serial number", field: "serial"},
		{header: "Site", field: "site"},
		{header: "Area", field: "area"},
		{header: "Plant", field: "plant"},
		{header: "Model line", field: "model_line"},
		{header: "Burner control", field: "control", codes: controlWords},
		{header: "Firing", field: "firing"},
		{header: "Input MBH", field: "input", unit: "MBH"},
		{header: "Installed", field: "installed"},
		{header: "State", field: "state", codes: stateWords},
		{header: "State since", field: "state_from"},
		{header: "Altitude ft", field: "altitude", unit: "ft"},
		{header: "Latitude", field: "latitude"},
		{header: "Longitude", field: "longitude"},
		{header: "Fuel", field: "fuel"},
		{header: "Fuel since", field: "fuel_from"},
		{header: "Vent since", field: "vent_from"},
		{header: "Vent dia in", field: "vent_diameter", unit: "in"},
		{header: "Vent length ft", field: "vent_length", unit: "ft"},
		{header: "Vent rise ft", field: "vent_rise", unit: "ft"},
		{header: "Elbows 90", field: "elbows_90"},
		{header: "Elbows 45", field: "elbows_45"},
		{header: "Terminal", field: "terminal"},
		{header: "Vent material", field: "material"},
		{header: "Air from", field: "air_from"},
		{header: "Intake dia in", field: "intake_diameter", unit: "in"},
		{header: "Intake length ft", field: "intake_length", unit: "ft"},
		{header: "Intake elbows 90", field: "intake_elbows_90"},
		{header: "Intake elbows 45", field: "intake_elbows_45"},
		{header: "Vent shared in plant", field: "common_vent"},
		{header: "Contract", carry: "contract"},
		{header: "Contact", carry: "contact_name"},
		{header: "Phone", carry: "contact_phone"},
		{header: "Address", carry: "address"},
	}
}

// registerTables are the two exports of the unit register.
func (reg *registry) registerTables() []table {
	var out []table
	for _, day := range reg.RegisterDays() {
		t := table{
			name:   "unit_register_" + reg.mark() + iso(day) + ".csv",
			layout: plainLayout("unit register", "units", "unit_register_*.csv", registerColumns()),
		}
		units := slices.DeleteFunc(slices.Clone(reg.Units), func(u *Unit) bool { return u.Installed > day })
		slices.SortFunc(units, func(a, b *Unit) int { return cmp.Compare(a.Serial, b.Serial) })
		for _, u := range units {
			t.rows = append(t.rows, reg.registerRow(u, day))
			if day == reg.RegisterDays()[0] {
				reg.spoilRegister(&t, u)
			}
		}
		out = append(out, t)
	}
	return out
}

// The register's own words for states and controls.
var (
	stateWords   = [][2]string{{"live", string(judge.InService)}}
	controlWords = [][2]string{{"fixed fan", string(judge.ControlFixedAir)}}
)

// registerRow is a unit's line in the register of a day.
func (reg *registry) registerRow(u *Unit, d day.Day) []string {
	s, v := u.SiteOn(d), u.runOn(d)
	state, since := u.State, u.StateFrom
	if since > d || since == day.None {
		state, since = judge.InService, day.None
	}
	fuelSince := day.None
	for _, p := range u.fuels {
		if p.from <= d {
			fuelSince = p.recordedFrom
		}
	}
	length := "n/a"
	if !math.IsNaN(v.RecordedFt) {
		length = number(v.RecordedFt, 0)
	}
	intake := []string{"", "", "", ""}
	if v.AirFrom == "own run" {
		intake = []string{number(v.IntakeIn, 0), number(v.IntakeFt, 0), strconv.Itoa(v.Intake90), strconv.Itoa(v.Intake45)}
	}
	return slices.Concat([]string{
		u.Serial, s.Name, AreaName(s.Area), u.plantOn(d), u.LineText, encode(controlWords, u.Line.Control), u.Line.Firing,
		strconv.Itoa(u.InputMBH), iso(u.Installed),
		encode(stateWords, state), iso(since), number(math.Round(s.AltitudeM/MetresPerFoot), 0), number(s.Latitude, 4), number(s.Longitude, 4),
		u.labelOf(u.FuelOn(d)), iso(fuelSince), iso(v.RecordedFrom), number(v.DiameterIn, 0), length, number(v.RiseFt, 0),
		strconv.Itoa(v.Elbows90), strconv.Itoa(v.Elbows45), v.Terminal, v.Material, v.AirFrom,
	}, intake,
		[]string{u.CommonVentOn(d), u.Contract}, s.Contact())
}

// plantOn returns the plant a unit belongs to on a day.
func (u *Unit) plantOn(day day.Day) string { return u.SiteOn(day).Plant }

// CommonVentOn returns the plant code where the plant shares its vent.
func (u *Unit) CommonVentOn(day day.Day) string {
	if s := u.SiteOn(day); s.common == "vent" {
		return s.Plant
	}
	return ""
}

// modelLineTable exports targets and bands.
func (reg *registry) modelLineTable() table {
	columns := []column{
		{header: "Line", field: "model_line"},
		{header: "Fuel", field: "fuel"},
		{header: "Fire", field: "fire"},
		{header: "Valid from", field: "valid_from"},
		{header: "Target CO2 %", field: "target_co2", unit: "%"},
		{header: "Target O2 %", field: "target_o2", unit: "%"},
		{header: "Set rich", field: "set_rich"},
		{header: "Set lean", field: "set_lean"},
		{header: "Visit rich", field: "act_rich"},
		{header: "Visit lean", field: "act_lean"},
		{header: "Longest run ft", field: "longest_run", unit: "ft"},
		{header: "Fan in WC", field: "fan_pressure", unit: "in w.c."},
		{header: "Factory run ft", field: "factory_run", unit: "ft"},
	}
	t := table{name: reg.ModelLineFile(), layout: plainLayout("model lines", "model_lines", "model_lines_*.csv", columns)}
	for _, r := range reg.TargetRows() {
		co2, o2 := number(r.target, 2), ""
		if r.Line.InO2 {
			co2, o2 = "", number(r.target, 2)
		}
		t.rows = append(t.rows, []string{
			r.Line.Name, r.Fuel, string(r.Line.FireName(r.Fire)), iso(r.From), co2, o2,
			number(r.set.Rich, 2), number(r.set.Lean, 2), number(r.act.Rich, 2), number(r.act.Lean, 2),
			number(r.Line.longestFt, 0), number(reg.DeclaredFanPa(r.Line)/PaPerInWC, 3), strconv.Itoa(factoryRunFt),
		})
	}
	return t
}

// TargetRow is a line of the model line export.
type TargetRow struct {
	Line     *ModelLine
	Fuel     string
	Fire     int
	From     day.Day
	target   float64
	set, act Band
}

// TargetRows are all targets, in the order of the export.
func (reg *registry) TargetRows() []TargetRow {
	var rows []TargetRow
	for i := range reg.lines {
		l := &reg.lines[i]
		days := []day.Day{day.Of(2001, 1, 1)}
		if l.RevisedFrom != day.None {
			days = append(days, l.RevisedFrom)
		}
		for _, fuel := range []string{naturalGas.Name, Propane.Name} {
			if fuel == Propane.Name && l.NoPropane {
				continue
			}
			for fire := range l.Fires() {
				for _, day := range days {
					rows = append(rows, TargetRow{l, fuel, fire, day, l.Declared(fuel, fire, day), l.Set[fire], l.Act[fire]})
				}
			}
		}
	}
	return rows
}

// analyzerTable exports the calibrations of the analyzers in use.
func (reg *registry) analyzerTable() table {
	columns := []column{
		{header: "Analyzer", field: "analyzer"},
		{header: "Calibrated", field: "calibrated"},
		{header: "Read high by CO2 %", field: "found_error", unit: "%"},
	}
	t := table{
		name:   "analyzer_checks_" + reg.mark() + iso(reg.CalibrationsExported()) + ".csv",
		layout: plainLayout("analyzer checks", "analyzers", "analyzer_checks_*.csv", columns),
	}
	for _, id := range reg.analyzerIDs() {
		a := reg.Analyzers[id]
		for n, day := range a.Calibrated {
			if day <= reg.CalibrationsExported() {
				t.rows = append(t.rows, []string{id, iso(day), number(reg.foundError(a, n), 2)})
			}
		}
	}
	return t
}

// plantTable exports what units share.
func (reg *registry) plantTable() table {
	columns := []column{
		{header: "Plant", field: "plant"},
		{header: "Site", field: "site"},
		{header: "Serial", field: "serial"},
		{header: "Shared", field: "common"},
	}
	t := table{
		name:   "plants_" + reg.mark() + iso(reg.RegisterDays()[1]) + ".csv",
		layout: plainLayout("plants", "plants", "plants_*.csv", columns),
	}
	for _, s := range reg.sites {
		for _, u := range s.units {
			if s.Plant != "" && u.movedTo == nil {
				t.rows = append(t.rows, []string{s.Plant, s.Name, u.Serial, s.common})
			}
		}
	}
	return t
}

// spoilRegister damages or doubles the last row of the earlier register export.
// Only units that did not change before the later one, so that nothing is lost.
func (reg *registry) spoilRegister(t *table, u *Unit) {
	if reg.draw(kindRegister, uint64(u.index), 1) >= reg.world.Faults.Register || len(u.Runs)+len(u.fuels) > 2 {
		return
	}
	row := t.rows[len(t.rows)-1]
	p := PlantedLine{File: t.name, Line: len(t.rows) + 1, Outcome: setAside, Serial: u.Serial}
	switch len(t.planted) % 5 {
	case 0:
		p.Outcome, p.Reason, p.Kind = CellAside, "unreadable-number", "letter in input"
		row[7] = row[7][:1] + "O0"
	case 1:
		p.Outcome, p.Kind = duplicate, Repeated
		t.rows, p.Line = append(t.rows, row), p.Line+1
	case 2:
		p.Outcome, p.Reason, p.Kind = CellAside, "impossible-date", "installed on 31 February"
		row[8] = "2011-02-31"
	case 3:
		p.Outcome, p.Reason, p.Kind = CellAside, "unknown-code", "unknown control"
		row[5] = "see plate"
	case 4:
		p.Reason, p.Kind = "wrong-field-count", "contract missing"
		t.rows[len(t.rows)-1] = row[:len(row)-1]
	}
	t.planted = append(t.planted, p)
}

// Answer is what a person answered about a unit.
type Answer struct {
	Unit       *Unit
	Day, Until day.Day
	Text       string
	Vague      bool // written with a word nobody agreed on
}

// Answers are a few answers of the last weeks.
func (reg *registry) Answers() []Answer {
	var out []Answer
	for _, u := range reg.Units {
		r := reg.stream(kindAnswer, uint64(u.index))
		if r.Float64() > 0.012 || u.Installed > reg.Options.AsOf-60 {
			continue
		}
		a := Answer{Unit: u, Day: reg.Options.AsOf - 12 - day.Day(r.IntN(40)), Until: day.None}
		a.Text = pick(r.Float64(), []string{"planned", "nothing found", "refused", "isolated", "record corrected"},
			[]float64{4, 2, 1, 1, 2})
		if a.Text == "planned" || a.Text == "refused" {
			a.Until = reg.Options.AsOf + 10 + day.Day(r.IntN(90))
		}
		a.Vague = reg.draw(kindAnswer, uint64(u.index), 1) < reg.world.Faults.Answers
		out = append(out, a)
	}
	return out
}

// answerTable exports the answers.
func (reg *registry) answerTable() table {
	columns := []column{
		{header: "Serial", field: "serial"},
		{header: "Answered", field: "day"},
		{header: "Answer", field: "answer"},
		{header: "Until", field: "until"},
	}
	t := table{
		name:   "answers_" + reg.mark() + iso(reg.Options.AsOf-10) + ".csv",
		layout: plainLayout("answers", "answers", "answers_*.csv", columns),
	}
	for _, a := range reg.Answers() {
		row := []string{a.Unit.Serial, iso(a.Day), a.Text, iso(a.Until)}
		if a.Vague {
			row[2] = "maybe later"
			t.planted = append(t.planted, PlantedLine{t.name, len(t.rows) + 2, setAside, "unknown-code", "unknown answer", a.Unit.Serial})
		}
		t.rows = append(t.rows, row)
	}
	return t
}
