package layout

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fluedrift/model/judge"
	"fluedrift/model/quantity"
)

// Kind is how the cells of a field are read.
type Kind string

// Kinds of field.
const (
	Text     Kind = "text"   // free text, trimmed
	ID       Kind = "id"     // identifier: exact text, damaged ones are set aside
	Code     Kind = "code"   // one of known words
	Day      Kind = "day"    // calendar day
	Clock    Kind = "time"   // time of day
	Measured Kind = "number" // number with a unit of measure
	Whole    Kind = "whole"  // count
	CO       Kind = "co"     // number that may be a limit: <, >, OL
)

// Place is the row of the record that a field belongs to.
type Place string

// Places. Readings records have two: the visit and the reading.
const (
	OfRecord  Place = "record"
	OfVisit   Place = "visit"
	OfReading Place = "reading"
)

// Field is one field of a record: how its cells are read, what they are
// measured in, what is required of them, and who reads it.
type Field struct {
	Record, Name string
	Kind         Kind
	Place        Place
	Column       string        // column of the warehouse
	Quantity     quantity.Kind // None where there is no unit
	Canonical    string        // unit of the stored value
	Default      string        // unit of a column that declares none; "" = it has to declare one
	Low, High    float64       // bounds of the stored value; common practice, no source
	Words        []string      // known words of a code
	Open         bool          // a layout's code list may add words
	Required     bool          // blank sets the line aside
	Decides      bool          // a cell that cannot be read sets the line aside, where a blank one does not
	Past         bool          // a day after the day of the export is set aside
	Coarse       bool          // a month or a year alone will do
	MarkMissing  bool          // a blank cell is marked on the accepted row
	Readers      string        // who reads it downstream
}

// Records of exports.
const (
	Readings   = "readings"
	Visits     = "visits" // without readings, as tickets and service calls are
	Units      = "units"
	ModelLines = "model_lines"
	Analyzers  = "analyzers"
	Plants     = "plants"
	Answers    = "answers"
)

// Table is what layouts are for whose files hold no records: a step of other layouts
// joins their rows.
const Table = "table"

// Records lists the kinds of record an export may hold.
func Records() []string {
	return []string{Readings, Visits, Units, ModelLines, Analyzers, Plants, Answers}
}

// Fields lists the fields of a record in table order.
func Fields(record string) []Field { return fieldsByRecord[record] }

// FieldOf finds a field of a record by name.
func FieldOf(record, name string) (Field, bool) {
	i := slices.IndexFunc(fieldsByRecord[record], func(f Field) bool { return f.Name == name })
	if i < 0 {
		return Field{}, false
	}
	return fieldsByRecord[record][i], true
}

// Unit is the unit of the stored value.
func (f Field) Unit() quantity.Unit { return quantity.MustLookup(f.Canonical) }

// Takes reports whether cells of the field may be measured in u.
func (f Field) Takes(u quantity.Unit) bool {
	return u.Kind == f.Quantity || f.Kind == CO && u.Kind == quantity.COMass
}

// Known words of the code fields.
var (
	yesNo      = []string{"yes", "no"}
	fires      = textsOf(judge.Fires())
	conditions = textsOf(judge.Conditions())
	fuels      = []string{"natural gas", "propane", "butane", "propane-butane"}
	reasons    = textsOf(judge.Reasons())
	controls   = textsOf(judge.Controls())
	firings    = []string{"on-off", "staged", "modulating"}
	states     = textsOf(judge.States())
	airFrom    = []string{"own run", "same run", "room"}
	airAt      = []string{"intake", "room", "outdoor", "unknown"}
	commons    = []string{"vent", "intake", "sequence"}
	answers    = []string{"planned", "nothing found", "refused", "isolated", "record corrected"}
)

// textsOf gives the words of a code as they stand in files.
func textsOf[W ~string](words []W) []string {
	texts := make([]string, len(words))
	for i, w := range words {
		texts[i] = string(w)
	}
	return texts
}

func text(name, column, readers string) Field {
	return Field{Name: name, Kind: Text, Column: column, Readers: readers}
}

func id(name, column, readers string) Field {
	return Field{Name: name, Kind: ID, Column: column, Readers: readers}
}

func code(name, column string, words []string, readers string) Field {
	return Field{Name: name, Kind: Code, Column: column, Words: words, Readers: readers}
}

func dayField(name, column, readers string) Field {
	return Field{Name: name, Kind: Day, Column: column, Readers: readers}
}

func count(name, column, readers string) Field {
	return Field{Name: name, Kind: Whole, Column: column, Low: 0, High: 200, Readers: readers}
}

// number is a measured field; canonical is the stored unit, def the unit of a
// column that declares none.
func number(name, column, canonical, def string, low, high float64, readers string) Field {
	return Field{
		Name: name, Kind: Measured, Column: column, Quantity: quantity.MustLookup(canonical).Kind,
		Canonical: canonical, Default: def, Low: low, High: high, Readers: readers,
	}
}

func (f Field) required() Field { f.Required = true; return f }
func (f Field) decides() Field  { f.Decides = true; return f }
func (f Field) past() Field     { f.Past = true; return f }
func (f Field) coarse() Field   { f.Coarse = true; return f }
func (f Field) marked() Field   { f.MarkMissing = true; return f }
func (f Field) open() Field     { f.Open = true; return f }

// fieldsByRecord is the one table of fields: the Arrow schemas, the checks of
// layouts and the help pages are made from it.
var fieldsByRecord = map[string][]Field{
	Readings: append(place(OfVisit,
		id("visit_id", "visit_id", "joined.visits").decides(),
		id("serial", "serial", "joined.serials").required(),
		text("site", "site", "records to correct"),
		dayField("day", "day", "joined.visits").required().past(),
		Field{Name: "time", Kind: Clock, Column: "minute", Readers: "joined.readings order"},
		code("reason", "reason", reasons, "judge, joined.vent_runs, joined.fuels"),
		text("technician", "technician", "judge, drift"),
		id("analyzer", "analyzer", "judge, drift"),
		code("adjusted", "adjusted", yesNo, "drift segments"),
		text("parts", "parts", "drift segments"),
		text("not_reached", "not_reached", "watch"),
		number("outdoor_temp", "outdoor_temp_c", "degC", "", -60, 60, "drift"),
	), place(OfReading,
		code("fire", "fire", fires, "all").required(),
		number("rate", "rate_percent", "%", "%", 0, 110, "judge"),
		code("condition", "condition", conditions, "all").required(),
		number("co2", "co2_percent", "%", "%", 0, 20, "judge, drift, watch").marked(),
		number("o2", "o2_percent", "%", "%", 0, 21, "judge, drift, watch").marked(),
		Field{
			Name: "co", Kind: CO, Column: "co_ppm", Quantity: quantity.Share, Canonical: "ppm", Default: "ppm", Low: 0, High: 50000,
			MarkMissing: true, Readers: "watch",
		},
		number("flue_temp", "flue_temp_c", "degC", "", -50, 800, "judge").marked(),
		number("air_temp", "air_temp_c", "degC", "", -50, 60, "drift").marked(),
		code("air_temp_at", "air_temp_at", airAt, "drift"),
		number("minutes_firing", "minutes_firing", "min", "min", 0, 100000, "judge"),
		number("supply_pressure", "supply_pa", "Pa", "", 0, 1e6, "judge"),
		number("manifold_pressure", "manifold_pa", "Pa", "", -1e4, 1e5, "judge"),
		number("fan_speed", "fan_speed_rpm", "rpm", "", 0, 30000, "judge"),
		number("flame_signal", "flame_signal_ua", "uA", "", 0, 1000, "judge"),
		number("draft", "draft_pa", "Pa", "", -2000, 2000, "judge"),
	)...),
	Units: place(OfRecord,
		id("serial", "serial", "joined.units").required(),
		id("second_id", "second_id", "joined.serials"),
		text("site", "site", "lists"),
		text("area", "area", "lists"),
		text("model_line", "model_line", "joined.targets, drift"),
		code("control", "control", controls, "drift"),
		code("firing", "firing", firings, "judge"),
		number("input", "input_kw", "kW", "", 2, 1e5, "vent, drift"),
		dayField("installed", "installed", "joined.units").past().marked().coarse(),
		code("state", "state", states, "watch"),
		dayField("state_from", "state_from", "watch"),
		dayField("removed", "removed", "joined.units"),
		dayField("valid_from", "valid_from", "joined.stated").decides(),
		dayField("valid_to", "valid_to", "joined.stated").decides(),
		number("altitude", "altitude_m", "m", "", -500, 6000, "drift"),
		number("latitude", "latitude", "deg", "deg", -90, 90, "drift, days"),
		number("longitude", "longitude", "deg", "deg", -180, 180, "days"),
		code("fuel", "fuel", fuels, "joined.fuels").open(),
		dayField("fuel_from", "fuel_from", "joined.fuels"),
		text("plant", "plant", "joined.units"),
		dayField("vent_from", "vent_from", "joined.vent_runs"),
		number("vent_diameter", "vent_diameter_m", "m", "", 0.02, 5, "vent").marked(),
		number("vent_length", "vent_length_m", "m", "", 0, 500, "vent, study").marked(),
		number("vent_rise", "vent_rise_m", "m", "", -50, 300, "vent"),
		count("elbows_90", "elbows_90", "vent, study"),
		count("elbows_45", "elbows_45", "vent, study"),
		text("terminal", "terminal", "study"),
		text("material", "material", "study"),
		code("air_from", "air_from", airFrom, "vent, study"),
		number("intake_diameter", "intake_diameter_m", "m", "", 0.02, 5, "vent").marked(),
		number("intake_length", "intake_length_m", "m", "", 0, 500, "vent").marked(),
		count("intake_elbows_90", "intake_elbows_90", "vent"),
		count("intake_elbows_45", "intake_elbows_45", "vent"),
		text("common_vent", "common_vent", "study"),
	),
	ModelLines: place(OfRecord,
		text("model_line", "model_line", "joined.targets").required(),
		code("fuel", "fuel", fuels, "joined.targets").required().open(),
		code("fire", "fire", fires, "joined.targets").required(),
		dayField("valid_from", "valid_from", "joined.targets").decides(),
		number("target_co2", "target_co2", "%", "%", 0.1, 20, "judge, watch"),
		number("target_o2", "target_o2", "%", "%", 0.1, 20, "judge, watch"),
		number("set_rich", "set_rich", "%", "%", 0, 10, "judge, watch"),
		number("set_lean", "set_lean", "%", "%", 0, 10, "judge, watch"),
		number("act_rich", "act_rich", "%", "%", 0, 10, "watch"),
		number("act_lean", "act_lean", "%", "%", 0, 10, "watch"),
		number("longest_run", "longest_run_m", "m", "", 0, 500, "study"),
		number("fan_pressure", "fan_pa", "Pa", "", 0, 1e5, "study"),
		number("factory_run", "factory_run_m", "m", "", 0, 500, "study"),
		text("factory_gas", "factory_gas", "study"),
		number("factory_altitude", "factory_altitude_m", "m", "", -500, 6000, "study"),
	),
	Analyzers: place(OfRecord,
		id("analyzer", "analyzer", "joined.readings").required(),
		dayField("calibrated", "calibrated", "joined.readings").past().decides(),
		number("found_error", "found_error", "%", "%", -2, 2, "drift"),
		number("span_co2", "span_co2", "%", "%", 0.1, 25, "found_error"),
		number("found_co2", "found_co2", "%", "%", 0, 25, "found_error"),
		code("adjusted", "adjusted", yesNo, "joined.calibrations"),
	),
	Plants: place(OfRecord,
		id("plant", "plant", "joined.units").required(),
		text("site", "site", "lists"),
		id("serial", "serial", "joined.units").required(),
		code("common", "common", commons, "joined.units, study"),
	),
	Answers: place(OfRecord,
		id("serial", "serial", "watch").required(),
		dayField("day", "day", "watch").required().past(),
		code("answer", "answer", answers, "watch").required(),
		dayField("until", "until", "watch").decides(),
	),
}

// visitsAlone are the fields of a visit of which nothing was measured: those of the visit
// of a reading, in their places. What the calendar asks for has readings, so that a
// reason is none of those: a ticket never makes a routine visit.
func visitsAlone() (fields []Field) {
	for _, f := range fieldsByRecord[Readings] {
		if f.Place != OfVisit {
			break
		}
		if f.Name == "reason" {
			f.Words = slices.DeleteFunc(slices.Clone(f.Words), func(w string) bool {
				return judge.Reason(w).Routine() || judge.Reason(w) == judge.FactoryTest
			})
		}
		fields = append(fields, f)
	}
	return fields
}

func place(p Place, fields ...Field) []Field {
	for i := range fields {
		fields[i].Place = p
	}
	return fields
}

func init() {
	fieldsByRecord[Visits] = visitsAlone()
	for record, fields := range fieldsByRecord {
		for i := range fields {
			fields[i].Record = record
			if fields[i].Quantity == "" {
				fields[i].Quantity = quantity.None
			}
		}
	}
}

// InBounds is nil where a stored value lies in the field's bounds, else what is wrong
// with it, in the unit of its column.
func (f Field) InBounds(v float64, column quantity.Unit) error {
	slack := 1e-9 * math.Max(math.Abs(f.Low), math.Abs(f.High))
	if v >= f.Low-slack && v <= f.High+slack || math.IsNaN(v) {
		return nil
	}
	said := func(v float64) string {
		if in, err := quantity.Convert(v, f.Unit(), column); err == nil {
			v = in
		}
		return fmt.Sprintf("%.6g", v)
	}
	return fmt.Errorf("%s is outside %s to %s", strings.TrimSpace(said(v)+" "+column.Name), said(f.Low), said(f.High))
}
