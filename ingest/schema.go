package ingest

import (
	"math"

	"fluedrift/ingest/layout"
	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// recordRow is one row of a record table: values by field, and what is added.
type recordRow struct {
	file, line, visit int32
	part              int8
	occurrence        int16
	key, content      uint64
	digested          bool
	wide              bool
	base, reading     []value
	fire              judge.Fire // wide: from the layout
	condition         judge.Condition
	coBasis           string
	coReference       float64
	adjHigh, adjLow   string
	analyzer          string // of the reading, where it is not the visit's
	adjusted          string
	minute            int16
	marks, carry      string
	configuredSerial  string
}

// noNumber stands for a whole number that is not known.
const noNumber = math.MinInt32

// fieldOf is the column of a field of a record; its kind follows from the field's.
func fieldOf(f layout.Field, at func() *value) queries.Field {
	switch f.Kind {
	case layout.Day:
		return queries.DayOf(f.Column, func() day.Day {
			if v := at(); v.ok {
				return v.day
			}
			return day.None
		})
	case layout.Measured, layout.CO:
		return queries.NumberOf(f.Column, func() float64 {
			if v := at(); v.ok {
				return v.num
			}
			return math.NaN()
		})
	case layout.Whole:
		return queries.WholeOf(f.Column, noNumber, func() int32 {
			if v := at(); v.ok {
				return v.whole
			}
			return noNumber
		})
	}
	return queries.TextOf(f.Column, func() string { return at().text })
}

// decimals is the column of the decimals a number was exported with.
func decimals(name string, at func() *value) queries.Field {
	return queries.WholeOf(name, -1, func() int8 {
		if v := at(); v.ok && v.decimals >= 0 {
			return v.decimals
		}
		return -1
	})
}

// beginning are the columns that every record begins with, ending those with which
// it ends.
func (r *recordRow) beginning() []queries.Field {
	return []queries.Field{queries.Whole("file_key", &r.file), queries.Whole("line", &r.line)}
}

func (r *recordRow) ending() []queries.Field {
	return []queries.Field{
		queries.Hash("key_hash", func() (uint64, bool) { return r.key, r.digested }),
		queries.Hash("content_hash", func() (uint64, bool) { return r.content, r.digested }),
		queries.Text("marks", &r.marks),
	}
}

// time is the column of the minute of the day.
func (r *recordRow) time() queries.Field { return queries.WholeOr("minute", &r.minute, -1) }

// visitFields are the columns of record.visits.
func visitFields(r *recordRow) []queries.Field {
	all := append([]queries.Field{queries.Whole("visit_row", &r.visit)}, r.beginning()...)
	for i, f := range layout.Fields(layout.Readings) {
		switch {
		case f.Place != layout.OfVisit:
		case f.Kind == layout.Clock:
			all = append(all, r.time())
		case f.Name == "adjusted":
			all = append(all,
				queries.Text("adjusted", &r.adjusted),
				queries.Text("adjusted_high", &r.adjHigh),
				queries.Text("adjusted_low", &r.adjLow))
		default:
			all = append(all, fieldOf(f, func() *value { return &r.base[i] }))
		}
	}
	all = append(all, queries.Truth("wide", &r.wide))
	return append(all, r.ending()...)
}

// readingFields are the columns of record.readings.
func readingFields(r *recordRow) []queries.Field {
	at := func(field int) func() *value { return func() *value { return &r.reading[field] } }
	all := append([]queries.Field{queries.Whole("visit_row", &r.visit)}, r.beginning()...)
	all = append(all, queries.Whole("part", &r.part), queries.Whole("occurrence", &r.occurrence), r.time())
	for i, f := range layout.Fields(layout.Readings) {
		switch {
		case f.Place != layout.OfReading:
			continue
		case f.Name == "fire":
			all = append(all, queries.Code(f.Column, &r.fire))
		case f.Name == "condition":
			all = append(all, queries.Code(f.Column, &r.condition))
		default:
			all = append(all, fieldOf(f, at(i)))
		}
		if f.Kind == layout.CO {
			all = append(all,
				queries.Text("co_basis", &r.coBasis),
				queries.Number("co_reference_o2", &r.coReference),
				queries.TextOf("co_limit", func() string { return r.reading[fieldCO].limit }))
		}
	}
	all = append(all,
		queries.Text("adjusted", &r.adjusted),
		queries.Text("analyzer", &r.analyzer),
		decimals("co2_decimals", at(fieldCO2)),
		decimals("o2_decimals", at(fieldO2)),
		decimals("co_decimals", at(fieldCO)),
		decimals("flue_decimals", at(fieldFlue)),
		decimals("air_decimals", at(fieldAir)))
	return append(all, r.ending()...)
}

// registerFields are the columns of the records that are one table each.
func registerFields(record string) func(*recordRow) []queries.Field {
	return func(r *recordRow) []queries.Field {
		all := r.beginning()
		if record == layout.ModelLines {
			all = append(all, queries.Text("serial", &r.configuredSerial))
		}
		for i, f := range layout.Fields(record) {
			all = append(all, fieldOf(f, func() *value { return &r.base[i] }))
		}
		if record == layout.Units {
			all = append(all, queries.Text("carry", &r.carry))
		}
		return append(all, r.ending()...)
	}
}
