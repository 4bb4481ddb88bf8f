package demo

import (
	"bytes"
	"fmt"
	"strconv"

	"github.com/xuri/excelize/v2"

	"fluedrift/model/judge"
)

// workbook is how the third office writes.
type workbook struct{ pen }

// columns are the columns of the third office's workbook. It gives visits
// no number of their own.
func (o workbook) columns() []wideColumn {
	reasons := [][2]string{
		{"First firing", string(judge.StartUp)},
		{"Annual test", string(judge.Annual)},
		{"Fault call", string(judge.CallOut)},
		{"Vent work", string(judge.VentAltered)},
		{"Gas change", string(judge.FuelConversion)},
	}
	yes := [][2]string{{"yes", "yes"}, {"no", "no"}}
	columns := []wideColumn{
		{column{header: "Boiler serial", field: "serial"}, func(e *Entry) string { return e.Serial }},
		{column{header: "Tested on", field: "day"}, func(e *Entry) string { return strconv.Itoa(int(e.Visit.Day) + 25569) }},
		{column{header: "Why", field: "reason", codes: reasons}, func(e *Entry) string { return encode(reasons, e.Visit.Reason) }},
		{column{header: "By", field: "technician"}, func(e *Entry) string { return e.Tester }},
		{column{header: "Analyser", field: "analyzer"}, func(e *Entry) string { return e.Meter }},
		{column{header: "Reset?", field: "adjusted", codes: yes}, func(e *Entry) string { return encode(yes, e.Flag) }},
	}
	slots := []slot{
		{"high, before", judge.High, judge.AsFound},
		{"high, after", judge.High, judge.AsLeft},
		{"low, before", judge.Low, judge.AsFound},
		{"low, after", judge.Low, judge.AsLeft},
		{"one fire, before", judge.Single, judge.AsFound},
		{"one fire, after", judge.Single, judge.AsLeft},
	}
	for _, s := range slots {
		if o.writesCO2(BookOffice) {
			columns = append(columns, slotColumn(column{header: "CO2 " + s.name, field: "co2", unit: "%"}, s,
				func(x *Value) string { return o.GasText(x.CO2, OnlyCO2) }))
		}
		if o.writesO2(BookOffice) {
			columns = append(columns, slotColumn(column{header: "O2 " + s.name, field: "o2", unit: "%"}, s,
				func(x *Value) string { return o.GasText(x.O2, OnlyO2) }))
		}
		columns = append(columns,
			slotColumn(column{header: "CO at 3 % O2 " + s.name, field: "co", unit: "ppm", basis: "reference", referenceO2: "3"}, s,
				func(x *Value) string { return number(x.CO, 0) }),
			slotColumn(column{header: "Flue C " + s.name, field: "flue_temp", unit: "degC"}, s,
				func(x *Value) string { return number(x.Flue, o.tempDecimals(1)) }),
			slotColumn(column{header: "Air C " + s.name, field: "air_temp", unit: "degC"}, s,
				func(x *Value) string { return number(x.Air, o.tempDecimals(2)) }))
	}
	return columns
}

// layout says what the third office's workbooks mean.
func (o workbook) layout() layout {
	l := layout{
		name: "west tests", record: "readings", form: "wide", source: "west", patterns: "west_burner_tests_*.xlsx",
		dayPattern: "yyyymmdd",
		file: [][2]string{
			{"type", `"xlsx"`},
			{"sheet", `"Burner tests"`},
			{"header", "3"},
			{"decimal", `"."`},
			{"dates", `"day number 1900"`},
			{"missing", `["", "n/a"]`},
		},
		constants: [][2]string{{"air_temp_at", "intake"}},
	}
	for _, c := range o.columns() {
		l.columns = append(l.columns, c.column)
	}
	return l
}

// export writes a workbook: a title, an empty row, the header, a row a visit.
// Dates are day numbers shown as dates, measures are numbers, the rest is text.
func (o workbook) export(x *File) ([]byte, error) {
	book := excelize.NewFile()
	defer book.Close()
	const sheet = "Burner tests"
	if err := book.SetSheetName("Sheet1", sheet); err != nil {
		return nil, err
	}
	if err := book.SetDocProps(&excelize.DocProperties{
		Created: iso(x.day) + "T08:00:00Z", Modified: iso(x.day) + "T08:00:00Z",
		Creator: "west office",
	}); err != nil {
		return nil, err
	}
	dated, err := book.NewStyle(&excelize.Style{NumFmt: 14})
	if err != nil {
		return nil, err
	}
	out, err := book.NewStreamWriter(sheet)
	if err != nil {
		return nil, err
	}
	if err := out.SetRow("A1", []any{fmt.Sprintf("West office: burner tests, exported %s", format(x.day, "2 January 2006"))}); err != nil {
		return nil, err
	}
	columns := o.columns()
	head := make([]any, len(columns))
	at := columnsOf(func(i int) string { head[i] = columns[i].header; return columns[i].field }, len(columns))
	if err := out.SetRow("A3", head); err != nil {
		return nil, err
	}
	for _, r := range x.rows {
		cells := wideCells(columns, r.entry)
		if r.entry.spoilt.kind != "" {
			cells = r.entry.spoilt.spoil(cells, at)
		}
		if err := out.SetRow("A"+strconv.Itoa(r.number), bookCells(columns, cells, dated)); err != nil {
			return nil, err
		}
	}
	if err := out.Flush(); err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := book.Write(&b); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// bookCells types the cells of a row: empty ones stay empty.
func bookCells(columns []wideColumn, cells []string, dated int) []any {
	out := make([]any, len(cells))
	for i, text := range cells {
		if text == "" {
			continue
		}
		out[i] = text
		if columns[i].unit == "" && columns[i].field != "day" {
			continue
		}
		x, err := strconv.ParseFloat(text, 64)
		if err != nil || text == "NaN" {
			continue
		}
		out[i] = x
		if columns[i].field == "day" {
			out[i] = excelize.Cell{StyleID: dated, Value: x}
		}
	}
	return out
}
