package demo

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fluedrift/model/judge"
)

// The first office writes a row a reading, in US customary units.

// longColumn is a column with what stands in it.
type longColumn struct {
	column
	cell func(e *Entry, x *Value) string
}

// longForm is how the first office writes.
type longForm struct{ pen }

// columns are the columns of the first office.
func (o longForm) columns() []longColumn {
	reasons := [][2]string{
		{"Startup", string(judge.StartUp)},
		{"Yearly", string(judge.Annual)},
		{"Called out", string(judge.CallOut)},
		{"Vent changed", string(judge.VentAltered)},
		{"Fuel changed", string(judge.FuelConversion)},
	}
	fires := [][2]string{{"Hi", string(judge.High)}, {"Lo", string(judge.Low)}, {"One", string(judge.Single)}}
	when := [][2]string{{"Before", string(judge.AsFound)}, {"After", string(judge.AsLeft)}}
	columns := []longColumn{
		{column{header: "Visit No", field: "visit_id"}, func(e *Entry, _ *Value) string { return e.ID }},
		{column{header: "Serial", field: "serial"}, func(e *Entry, _ *Value) string { return e.Serial }},
		{column{header: "Site", ignore: true}, func(e *Entry, _ *Value) string { return e.Unit.SiteOn(e.Visit.Day).Name }},
		{column{header: "Date", field: "day"}, func(e *Entry, _ *Value) string { return format(e.Visit.Day, "01/02/2006") }},
		{column{header: "Time", field: "time"}, func(e *Entry, _ *Value) string { return clock(e.Visit.Minute) }},
		{
			column{header: "Reason for visit", field: "reason", codes: reasons},
			func(e *Entry, _ *Value) string { return encode(reasons, e.Visit.Reason) },
		},
		{column{header: "Tech", field: "technician"}, func(e *Entry, _ *Value) string { return e.Tester }},
		{column{header: "Meter", field: "analyzer"}, func(e *Entry, _ *Value) string { return e.Meter }},
		{
			column{header: "Setting changed", field: "adjusted", codes: [][2]string{{"Y", "yes"}, {"N", "no"}}},
			func(e *Entry, _ *Value) string {
				return encode([][2]string{{"Y", "yes"}, {"N", "no"}}, e.Flag)
			},
		},
		{
			column{header: "Firing", field: "fire", codes: fires},
			func(e *Entry, x *Value) string { return encode(fires, e.Unit.Line.FireName(x.Fire)) },
		},
		{column{header: "Taken", field: "condition", codes: when}, func(_ *Entry, x *Value) string { return encode(when, x.Condition) }},
	}
	if o.writesCO2(LongOffice) {
		columns = append(columns, longColumn{
			column{header: "CO2 %", field: "co2", unit: "%"},
			func(_ *Entry, x *Value) string { return o.GasText(x.CO2, OnlyCO2) },
		})
	}
	if o.writesO2(LongOffice) {
		columns = append(columns, longColumn{
			column{header: "O2 %", field: "o2", unit: "%"},
			func(_ *Entry, x *Value) string { return o.GasText(x.O2, OnlyO2) },
		})
	}
	return append(columns, []longColumn{
		{column{header: "CO air-free ppm", field: "co", unit: "ppm", basis: "air-free"}, func(_ *Entry, x *Value) string {
			if x.COLimit == "below" {
				return "<" + number(x.CO, 0)
			}
			return number(x.CO, 0)
		}},
		{
			column{header: "Flue F", field: "flue_temp", unit: "degF"},
			func(_ *Entry, x *Value) string { return number(x.Flue, o.tempDecimals(1)) },
		},
		{
			column{header: "Burner air F", field: "air_temp", unit: "degF"},
			func(_ *Entry, x *Value) string { return number(x.Air, o.tempDecimals(2)) },
		},
		{
			column{header: "Outdoor F", field: "outdoor_temp", unit: "degF"},
			func(e *Entry, _ *Value) string { return number(math.Round(e.Visit.OutdoorC*1.8+32), 0) },
		},
		{
			column{header: "Supply in WC", field: "supply_pressure", unit: "in w.c."},
			func(_ *Entry, x *Value) string { return number(x.Supply, 1) },
		},
		{
			column{header: "Fired min", field: "minutes_firing", unit: "min"},
			func(_ *Entry, x *Value) string { return number(x.Minutes, 0) },
		},
		{column{header: "Not reached", field: "not_reached"}, func(e *Entry, _ *Value) string { return e.Visit.NotReached }},
		{column{header: "Parts", field: "parts"}, func(e *Entry, _ *Value) string { return e.Visit.Parts }},
		{column{header: "Remarks", ignore: true}, func(e *Entry, _ *Value) string { return remark(e) }},
	}...)
}

// layout says what the first office's exports mean.
func (o longForm) layout() layout {
	l := layout{
		name: "north readings", record: "readings", form: "long", source: "north", patterns: "north_readings_*.csv",
		dayPattern: "yyyy-mm-dd",
		file:       csvFile(",", "utf-8", ".", "mm/dd/yyyy", [2]string{"missing", `["", "--"]`}, [2]string{"footer", `["^Total"]`}),
		constants:  [][2]string{{"air_temp_at", "intake"}},
	}
	for _, c := range o.columns() {
		l.columns = append(l.columns, c.column)
	}
	return l
}

// rows returns the rows of a file of the first office.
func (o longForm) rows(x *File) [][]string {
	columns := o.columns()
	head := make([]string, len(columns))
	at := columnsOf(func(i int) string { head[i] = columns[i].header; return columns[i].field }, len(columns))
	at.impossibleDay = "02/31/2019"
	rows := make([][]string, 0, len(x.rows))
	for _, r := range x.rows {
		rows = append(rows, specialRow(r, head, "Total readings"))
		if r.entry == nil {
			continue
		}
		cells := make([]string, len(columns))
		for i := range columns {
			cells[i] = columns[i].cell(r.entry, &r.entry.Values[r.index])
		}
		if r.entry.spoilt.kind != "" && r.entry.spoilt.line == r.index {
			cells = r.entry.spoilt.spoil(cells, at)
		}
		rows[len(rows)-1] = cells
	}
	return append([][]string{head}, rows...)
}

// export writes a file of the first office.
func (o longForm) export(x *File) ([]byte, error) { return csvBytes(o.rows(x), ","), nil }

// specialRow returns the cells of a line that holds no record; nil is blank.
func specialRow(r row, head []string, total string) []string {
	switch r.special {
	case headerLine:
		return head
	case skipped:
		cells := make([]string, len(head))
		cells[0], cells[1] = total, strconv.Itoa(r.number-2)
		return cells
	}
	return nil
}

// columnsOf finds the columns that damage touches.
func columnsOf(field func(i int) string, n int) columns {
	c := columns{serial: -1, gas: -1, flue: -1}
	for i := range n {
		switch field(i) {
		case "serial":
			c.serial = i
		case "day":
			c.day = i
		case "reason":
			c.reason = i
		case "condition":
			c.condition = i
		case "technician":
			c.tester = i
		case "co2", "o2":
			if c.gas < 0 {
				c.gas = i
			}
		case "flue_temp":
			if c.flue < 0 {
				c.flue = i
			}
		}
	}
	return c
}

// encode turns our word into the office's.
func encode[W ~string](codes [][2]string, word W) string {
	for _, kv := range codes {
		if kv[1] == string(word) {
			return kv[0]
		}
	}
	return string(word)
}

// number writes a number with a point, a missing one as "".
func number(x float64, decimals int) string {
	if math.IsNaN(x) {
		return ""
	}
	text := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.HasPrefix(text, "-") && strings.Trim(text, "-0.") == "" {
		return text[1:] // no minus before zero
	}
	return text
}

// clock writes a minute of the day.
func clock(minute int16) string {
	if minute < 0 {
		return ""
	}
	return fmt.Sprintf("%02d:%02d", minute/60, minute%60)
}

// remark is something technicians write that nothing reads.
func remark(e *Entry) string {
	switch (e.Unit.index*7 + e.Visit.number*3) % 23 {
	case 0:
		return `key at the desk, ask for "boiler room"`
	case 1:
		return "filter cleaned, drain checked"
	case 2:
		return "noisy fan"
	}
	return ""
}
