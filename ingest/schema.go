package ingest

import (
	"math"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"

	"fluedrift/ingest/layout"
)

// recordRow is one row of a record table: values by field, and what is added.
type recordRow struct {
	file, line, visit int32
	part              int8
	occurrence        int16
	key, content      uint64
	hashed            bool
	wide              bool
	base, reading     []value
	fire, condition   string // wide: from the layout
	coBasis           string
	coReference       float64
	adjHigh, adjLow   string
	analyzer          string // of the reading, where it is not the visit's
	adjusted          string
	minute            int16
	marks, carry      string
	configuredSerial  string
}

func missing(v *value) bool { return !v.ok }

// fieldColumn is the column of a field: its type follows from its kind.
func fieldColumn(f layout.Field, at func(*recordRow) *value) column[recordRow] {
	switch f.Kind {
	case layout.Day:
		return dayCell(f.Column, at)
	case layout.Measured, layout.CO:
		return floatColumn(f.Column, func(r *recordRow) float64 {
			v := at(r)
			if missing(v) {
				return math.NaN()
			}
			return v.num
		})
	case layout.Whole:
		return column[recordRow]{f.Column, arrow.PrimitiveTypes.Int32, func(b array.Builder, r *recordRow) {
			if v := at(r); !missing(v) {
				b.(*array.Int32Builder).Append(v.day)
				return
			}
			b.AppendNull()
		}}
	}
	return textColumn(f.Column, func(r *recordRow) string { return at(r).text })
}

func dayCell(name string, at func(*recordRow) *value) column[recordRow] {
	return column[recordRow]{name, arrow.FixedWidthTypes.Date32, func(b array.Builder, r *recordRow) {
		if v := at(r); !missing(v) {
			putDay(b, v.day)
			return
		}
		b.AppendNull()
	}}
}

func baseAt(i int) func(*recordRow) *value { return func(r *recordRow) *value { return &r.base[i] } }
func readingAt(i int) func(*recordRow) *value {
	return func(r *recordRow) *value { return &r.reading[i] }
}

func minuteColumn() column[recordRow] {
	return column[recordRow]{"minute", arrow.PrimitiveTypes.Int16, func(b array.Builder, r *recordRow) {
		if r.minute < 0 {
			b.AppendNull()
			return
		}
		b.(*array.Int16Builder).Append(r.minute)
	}}
}

func tinyColumn(name string, get func(*recordRow) int8) column[recordRow] {
	return column[recordRow]{name, arrow.PrimitiveTypes.Int8, func(b array.Builder, r *recordRow) {
		if v := get(r); v >= 0 {
			b.(*array.Int8Builder).Append(v)
			return
		}
		b.AppendNull()
	}}
}

// decimals is the column of the decimals a number was exported with.
func decimals(name string, field int) column[recordRow] {
	return tinyColumn(name, func(r *recordRow) int8 {
		if v := &r.reading[field]; v.ok {
			return v.decimals
		}
		return -1
	})
}

func ends() []column[recordRow] {
	return []column[recordRow]{
		hashColumn("key_hash", func(r *recordRow) (uint64, bool) { return r.key, r.hashed }),
		hashColumn("content_hash", func(r *recordRow) (uint64, bool) { return r.content, r.hashed }),
		textColumn("marks", func(r *recordRow) string { return r.marks }),
	}
}

func fileLine() []column[recordRow] {
	return []column[recordRow]{
		intColumn("file_key", func(r *recordRow) int32 { return r.file }),
		intColumn("line", func(r *recordRow) int32 { return r.line }),
	}
}

func visitRow() column[recordRow] {
	return intColumn("visit_row", func(r *recordRow) int32 { return r.visit })
}

// visitColumns are the columns of record.visits.
func visitColumns() []column[recordRow] {
	cols := append([]column[recordRow]{visitRow()}, fileLine()...)
	for i, f := range layout.Fields(layout.Readings) {
		switch {
		case f.Place != layout.OfVisit:
		case f.Kind == layout.Clock:
			cols = append(cols, minuteColumn())
		case f.Name == "adjusted":
			cols = append(cols,
				textColumn("adjusted", func(r *recordRow) string { return r.adjusted }),
				textColumn("adjusted_high", func(r *recordRow) string { return r.adjHigh }),
				textColumn("adjusted_low", func(r *recordRow) string { return r.adjLow }))
		default:
			cols = append(cols, fieldColumn(f, baseAt(i)))
		}
	}
	cols = append(cols, column[recordRow]{"wide", arrow.FixedWidthTypes.Boolean, func(b array.Builder, r *recordRow) {
		b.(*array.BooleanBuilder).Append(r.wide)
	}})
	return append(cols, ends()...)
}

// readingColumns are the columns of record.readings.
func readingColumns() []column[recordRow] {
	cols := append([]column[recordRow]{visitRow()}, fileLine()...)
	cols = append(cols,
		tinyColumn("part", func(r *recordRow) int8 { return r.part }),
		column[recordRow]{"occurrence", arrow.PrimitiveTypes.Int16, func(b array.Builder, r *recordRow) {
			b.(*array.Int16Builder).Append(r.occurrence)
		}},
		minuteColumn())
	for i, f := range layout.Fields(layout.Readings) {
		switch {
		case f.Place != layout.OfReading:
			continue
		case f.Name == "fire":
			cols = append(cols, textColumn(f.Column, func(r *recordRow) string { return r.fire }))
		case f.Name == "condition":
			cols = append(cols, textColumn(f.Column, func(r *recordRow) string { return r.condition }))
		default:
			cols = append(cols, fieldColumn(f, readingAt(i)))
		}
		if f.Kind == layout.CO {
			cols = append(cols,
				textColumn("co_basis", func(r *recordRow) string { return r.coBasis }),
				floatColumn("co_reference_o2", func(r *recordRow) float64 { return r.coReference }),
				textColumn("co_limit", func(r *recordRow) string { return r.reading[fieldCO].limit }))
		}
	}
	cols = append(cols,
		textColumn("adjusted", func(r *recordRow) string { return r.adjusted }),
		textColumn("analyzer", func(r *recordRow) string { return r.analyzer }),
		decimals("co2_decimals", fieldCO2), decimals("o2_decimals", fieldO2), decimals("co_decimals", fieldCO),
		decimals("flue_decimals", fieldFlue), decimals("air_decimals", fieldAir))
	return append(cols, ends()...)
}

// registerColumns are the columns of the records that are one table each.
func registerColumns(record string) []column[recordRow] {
	cols := fileLine()
	if record == layout.ModelLines {
		cols = append(cols, textColumn("serial", func(r *recordRow) string { return r.configuredSerial }))
	}
	for i, f := range layout.Fields(record) {
		cols = append(cols, fieldColumn(f, baseAt(i)))
	}
	if record == layout.Units {
		cols = append(cols, textColumn("carry", func(r *recordRow) string { return r.carry }))
	}
	return append(cols, ends()...)
}
