package demo

import (
	"math"
	"strings"

	"golang.org/x/text/encoding/charmap"

	"fluedrift/model/judge"
)

// The second office writes a row a visit, with semicolons, decimal commas and
// accented letters in Windows-1252; the third a workbook of the same shape.

// wideColumn is a column of a row a visit with what stands in it.
type wideColumn struct {
	column
	cell func(e *Entry) string
}

// slot is one fire and condition of a row a visit.
type slot struct {
	name      string
	fire      judge.Fire
	condition judge.Condition
}

// find returns the value of a slot, nil where none was written.
func (s slot) find(e *Entry) *Value {
	for i := range e.Values {
		x := &e.Values[i]
		if e.Unit.Line.FireName(x.Fire) == s.fire && x.Condition == s.condition {
			return x
		}
	}
	return nil
}

// slotColumn makes the column of one measure in one slot.
func slotColumn(c column, s slot, cell func(x *Value) string) wideColumn {
	c.fire, c.condition = s.fire, s.condition
	return wideColumn{c, func(e *Entry) string {
		if x := s.find(e); x != nil {
			return cell(x)
		}
		return ""
	}}
}

// wideForm is how the second office writes.
type wideForm struct{ pen }

// columns are the columns of the second office.
func (o wideForm) columns() []wideColumn {
	reasons := [][2]string{
		{"mise en service", string(judge.StartUp)},
		{"annuel", string(judge.Annual)},
		{"dépannage", string(judge.CallOut)},
		{"conduit modifié", string(judge.VentAltered)},
		{"changement de gaz", string(judge.FuelConversion)},
	}
	yes := [][2]string{{"oui", "yes"}, {"non", "no"}}
	columns := []wideColumn{
		{column{header: "Fiche", field: "visit_id"}, func(e *Entry) string { return e.ID }},
		{column{header: "N° d'unité", field: "serial"}, func(e *Entry) string { return e.Serial }},
		{column{header: "Site", ignore: true}, func(e *Entry) string { return e.Unit.SiteOn(e.Visit.Day).Name }},
		{column{header: "Jour", field: "day"}, func(e *Entry) string { return format(e.Visit.Day, "02.01.2006") }},
		{column{header: "Motif", field: "reason", codes: reasons}, func(e *Entry) string { return encode(reasons, e.Visit.Reason) }},
		{column{header: "Technicien", field: "technician"}, func(e *Entry) string { return e.Tester }},
		{column{header: "Analyseur", field: "analyzer"}, func(e *Entry) string { return e.Meter }},
		{column{header: "Réglé", field: "adjusted", codes: yes}, func(e *Entry) string { return encode(yes, e.Flag) }},
		{
			column{header: "T extérieure °C", field: "outdoor_temp", unit: "degC"},
			func(e *Entry) string { return comma(number(math.Round(e.Visit.OutdoorC), 0)) },
		},
	}
	slots := []slot{
		{"grand feu avant", judge.High, judge.AsFound},
		{"grand feu après", judge.High, judge.AsLeft},
		{"petit feu avant", judge.Low, judge.AsFound},
		{"petit feu après", judge.Low, judge.AsLeft},
		{"feu unique avant", judge.Single, judge.AsFound},
		{"feu unique après", judge.Single, judge.AsLeft},
	}
	for _, s := range slots {
		if o.writesCO2(WideOffice) {
			columns = append(columns, slotColumn(column{header: "CO2 % " + s.name, field: "co2", unit: "%"}, s,
				func(x *Value) string { return comma(o.GasText(x.CO2, OnlyCO2)) }))
		}
		if o.writesO2(WideOffice) {
			columns = append(columns, slotColumn(column{header: "O2 % " + s.name, field: "o2", unit: "%"}, s,
				func(x *Value) string { return comma(o.GasText(x.O2, OnlyO2)) }))
		}
		columns = append(columns,
			slotColumn(column{header: "CO ppm " + s.name, field: "co", unit: "ppm", basis: "as measured"}, s,
				func(x *Value) string { return number(x.CO, 0) }),
			slotColumn(column{header: "T fumées °C " + s.name, field: "flue_temp", unit: "degC"}, s,
				func(x *Value) string { return comma(number(x.Flue, o.tempDecimals(1))) }),
			slotColumn(column{header: "T air °C " + s.name, field: "air_temp", unit: "degC"}, s,
				func(x *Value) string { return comma(number(x.Air, o.tempDecimals(2))) }))
	}
	return append(columns,
		wideColumn{column{header: "Feu non atteint", field: "not_reached"}, func(e *Entry) string { return e.Visit.NotReached }},
		wideColumn{column{header: "Pièces", field: "parts"}, func(e *Entry) string { return e.Visit.Parts }})
}

// layout says what the second office's exports mean.
func (o wideForm) layout() layout {
	l := layout{
		name: "south readings", record: "readings", form: "wide", source: "south", patterns: "releves_sud_*.csv",
		dayPattern: "dd-mm-yyyy",
		file: csvFile(";", "windows-1252", ",", "dd.mm.yyyy", [2]string{"missing", `["", "s.o."]`},
			[2]string{"footer", `["^Nombre de fiches"]`}),
		constants: [][2]string{{"air_temp_at", "intake"}},
	}
	for _, c := range o.columns() {
		l.columns = append(l.columns, c.column)
	}
	return l
}

// rows returns the rows of a file of the second office.
func (o wideForm) rows(x *File) [][]string {
	columns := o.columns()
	head := make([]string, len(columns))
	at := columnsOf(func(i int) string { head[i] = columns[i].header; return columns[i].field }, len(columns))
	at.impossibleDay = "31.02.2019"
	rows := [][]string{head}
	for _, r := range x.rows {
		cells := specialRow(r, head, "Nombre de fiches")
		if r.entry != nil {
			cells = wideCells(columns, r.entry)
			if r.entry.spoilt.kind != "" {
				cells = r.entry.spoilt.spoil(cells, at)
			}
		}
		rows = append(rows, cells)
	}
	return rows
}

// export writes a file of the second office.
func (o wideForm) export(x *File) ([]byte, error) { return windows1252(csvBytes(o.rows(x), ";")) }

func wideCells(columns []wideColumn, e *Entry) []string {
	cells := make([]string, len(columns))
	for i := range columns {
		cells[i] = columns[i].cell(e)
	}
	return cells
}

// comma writes a decimal point as a comma.
func comma(s string) string { return strings.Replace(s, ".", ",", 1) }

// windows1252 encodes a text; a letter the code page has not is an error.
func windows1252(text []byte) ([]byte, error) { return charmap.Windows1252.NewEncoder().Bytes(text) }
