package table

import (
	"fmt"
	"strconv"
	"time"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/memory"
)

// arrowTypes are the kinds of cells as columns of a batch.
var arrowTypes = map[Kind]arrow.DataType{
	Text: arrow.BinaryTypes.String, Number: arrow.PrimitiveTypes.Float64,
	Day: arrow.FixedWidthTypes.Date32,
}

// asOfColumn stands before the columns of a list that is kept night after night.
var asOfColumn = Column{Name: "as_of", Meaning: "day the list speaks for", Unit: "day", Source: "plan", Kind: Day}

// Dated puts the day that a list speaks for before its columns, so that the files of
// many nights are one set of rows.
func Dated(t Table) Table {
	day := DayCell(t.AsOf)
	out := t
	out.Columns = append([]Column{asOfColumn}, t.Columns...)
	out.Rows = make([][]Cell, len(t.Rows))
	for i, row := range t.Rows {
		out.Rows[i] = append([]Cell{day}, row...)
	}
	return out
}

// ArrowRecord gives the rows of a table as one batch, to be written as Parquet. A
// cell holds what the CSV of the same table says: numbers as they are rounded
// there, text made harmless, days as days, a missing value as none.
func ArrowRecord(t Table) (arrow.Record, error) {
	fields := make([]arrow.Field, len(t.Columns))
	for i, c := range t.Columns {
		fields[i] = arrow.Field{Name: c.Name, Type: arrowTypes[c.Kind], Nullable: true}
	}
	b := array.NewRecordBuilder(memory.DefaultAllocator, arrow.NewSchema(fields, nil))
	defer b.Release()
	for _, row := range t.Rows {
		for i, c := range row {
			if err := appendCell(b.Field(i), c); err != nil {
				return nil, fmt.Errorf("column %q of %s: %w", t.Columns[i].Name, t.Name, err)
			}
		}
	}
	return b.NewRecord(), nil
}

// appendCell adds a cell to its column.
func appendCell(to array.Builder, c Cell) error {
	if c.Missing() {
		to.AppendNull()
		return nil
	}
	switch b := to.(type) {
	case *array.StringBuilder:
		b.Append(csvCell(c))
	case *array.Float64Builder:
		v, err := strconv.ParseFloat(c.String(), 64)
		if err != nil {
			return err
		}
		b.Append(v)
	case *array.Date32Builder:
		day, err := time.Parse(time.DateOnly, c.String())
		if err != nil {
			return err
		}
		b.Append(arrow.Date32FromTime(day))
	}
	return nil
}
