package demo

// factoryColumns are the columns of the factory's test sheet.
func (f *Fleet) factoryColumns() []longColumn {
	columns := []longColumn{
		{column{header: "Test", field: "visit_id"}, func(e *Entry, _ *Value) string { return e.ID }},
		{column{header: "Serial", field: "serial"}, func(e *Entry, _ *Value) string { return e.Serial }},
		{column{header: "Day", field: "day"}, func(e *Entry, _ *Value) string { return iso(e.Visit.Day) }},
		{column{header: "Fire", field: "fire"}, func(e *Entry, x *Value) string { return e.Unit.Line.FireName(x.Fire) }},
	}
	if f.world.Gases == OnlyO2 {
		columns = append(columns, longColumn{column{header: "O2", field: "o2", unit: "%"}, func(_ *Entry, x *Value) string { return f.GasText(x.O2, OnlyO2) }})
	} else {
		columns = append(columns, longColumn{column{header: "CO2", field: "co2", unit: "%"}, func(_ *Entry, x *Value) string { return f.GasText(x.CO2, OnlyCO2) }})
	}
	return append(columns,
		longColumn{column{header: "CO ppm", field: "co", unit: "ppm", basis: "as measured"}, func(_ *Entry, x *Value) string { return number(x.CO, 0) }},
		longColumn{column{header: "Flue degC", field: "flue_temp", unit: "degC"}, func(_ *Entry, x *Value) string { return number(x.Flue, f.tempDecimals(1)) }},
		longColumn{column{header: "Air degC", field: "air_temp", unit: "degC"}, func(_ *Entry, x *Value) string { return number(x.Air, f.tempDecimals(2)) }},
		longColumn{column{header: "Bench", field: "analyzer"}, func(e *Entry, _ *Value) string { return e.Meter }})
}

// factoryLayout says what the factory's test sheets mean.
func (f *Fleet) factoryLayout() layout {
	l := layout{name: "factory tests", record: "readings", form: "long", source: "factory", patterns: "factory_tests_*.csv", dayPattern: "yyyy-mm-dd",
		file:      isoFile(),
		constants: [][2]string{{"reason", "factory test"}, {"condition", asLeft}, {"adjusted", "yes"}, {"air_temp_at", "intake"}}}
	for _, c := range f.factoryColumns() {
		l.columns = append(l.columns, c.column)
	}
	return l
}

// factoryRows returns the rows of the factory's test sheet.
func (f *Fleet) factoryRows(x *File) [][]string {
	columns := f.factoryColumns()
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
