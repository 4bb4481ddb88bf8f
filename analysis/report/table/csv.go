package table

import (
	"encoding/csv"
	"fmt"
	"io"
)

// WriteCSV writes a list as RFC 4180 has it: UTF-8 without a byte order mark,
// a header line, lines ended by CR LF, a comma between cells, cells quoted where
// needed. Nothing but the table is in the file: what stands at the head of a
// list and the cautions go beside it. Text cells are made harmless for
// spreadsheets, numbers stay numbers with a decimal point, days are ISO 8601, a
// missing value is an empty cell. No cell holds a line break.
func WriteCSV(w io.Writer, t Table) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	record := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		record[i] = harmless(c.Name)
	}
	if err := out.Write(record); err != nil {
		return fmt.Errorf("write %s: %w", t.Name, err)
	}
	for _, row := range t.Rows {
		for i, c := range row {
			record[i] = csvCell(c)
		}
		if err := out.Write(record); err != nil {
			return fmt.Errorf("write %s: %w", t.Name, err)
		}
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return fmt.Errorf("write %s: %w", t.Name, err)
	}
	return nil
}

// csvCell writes a cell: text made harmless, the rest as it is.
func csvCell(c Cell) string {
	if c.kind == Text {
		return harmless(c.text)
	}
	return c.String()
}
