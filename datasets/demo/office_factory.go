package demo

import "fluedrift/model/judge"

// factorySheet is how the factory writes.
type factorySheet struct{ pen }

// columns are the columns of the factory's test sheet.
func (o factorySheet) columns() []longColumn {
	columns := []longColumn{
		{column{header: "Test", field: "visit_id"}, func(e *Entry, _ *Value) string { return e.ID }},
		{column{header: "Serial", field: "serial"}, func(e *Entry, _ *Value) string { return e.Serial }},
		{column{header: "Day", field: "day"}, func(e *Entry, _ *Value) string { return iso(e.Visit.Day) }},
		{column{header: "Fire", field: "fire"}, func(e *Entry, x *Value) string { return string(e.Unit.Line.FireName(x.Fire)) }},
	}
	if o.gases == OnlyO2 {
		columns = append(columns, longColumn{
			column{header: "O2", field: "o2", unit: "%"},
			func(_ *Entry, x *Value) string { return o.GasText(x.O2, OnlyO2) },
		})
	} else {
		columns = append(columns, longColumn{
			column{header: "CO2", field: "co2", unit: "%"},
			func(_ *Entry, x *Value) string { return o.GasText(x.CO2, OnlyCO2) },
		})
	}
	return append(columns,
		longColumn{
			column{header: "CO ppm", field: "co", unit: "ppm", basis: "as measured"},
			func(_ *Entry, x *Value) string { return number(x.CO, 0) },
		},
		longColumn{
			column{header: "Flue degC", field: "flue_temp", unit: "degC"},
			func(_ *Entry, x *Value) string { return number(x.Flue, o.tempDecimals(1)) },
		},
		longColumn{
			column{header: "Air degC", field: "air_temp", unit: "degC"},
			func(_ *Entry, x *Value) string { return number(x.Air, o.tempDecimals(2)) },
		},
		longColumn{column{header: "Bench", field: "analyzer"}, func(e *Entry, _ *Value) string { return e.Meter }})
}

// layout says what the factory's test sheets mean.
func (o factorySheet) layout() layout {
	l := layout{
		name: "factory tests", record: "readings", form: "long", source: "factory", patterns: "factory_tests_*.csv",
		dayPattern: "yyyy-mm-dd",
		file:       isoFile(),
		constants: [][2]string{
			{"reason", string(judge.FactoryTest)}, {"condition", string(judge.AsLeft)}, {"adjusted", "yes"}, {"air_temp_at", "intake"},
		},
	}
	for _, c := range o.columns() {
		l.columns = append(l.columns, c.column)
	}
	return l
}

// rows returns the rows of the factory's test sheet.
func (o factorySheet) rows(x *File) [][]string {
	columns := o.columns()
	head := make([]string, len(columns))
	for i := range columns {
		head[i] = columns[i].header
	}
	rows := [][]string{head}
	for _, r := range x.rows {
		cells := make([]string, len(columns))
		for i := range columns {
			cells[i] = columns[i].cell(r.entry, &r.entry.Values[r.index])
		}
		rows = append(rows, cells)
	}
	return rows
}

// export writes a test sheet of the factory.
func (o factorySheet) export(x *File) ([]byte, error) { return csvBytes(o.rows(x), ","), nil }
