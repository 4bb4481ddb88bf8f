package table

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"fluedrift/model/day"
)

// ReadJSON reads a list that WriteJSON wrote, and the schema it was written in; a file
// holds no short headers.
func ReadJSON(r io.Reader) (t Table, schema int, err error) {
	var all struct {
		jsonHead
		Rows []map[string]any `json:"rows"`
	}
	d := json.NewDecoder(r)
	d.UseNumber()
	if err := d.Decode(&all); err != nil {
		return Table{}, 0, fmt.Errorf("not a published list: %w", err)
	}
	if err := Readable(all.Schema); err != nil {
		return Table{}, 0, err
	}
	t = Table{Name: all.List, AsOf: day.None, Head: all.Head, Rows: make([][]Cell, len(all.Rows))}
	if asOf, err := day.Parse(all.AsOf); err == nil {
		t.AsOf = asOf
	}
	for _, c := range all.Columns {
		t.Columns = append(t.Columns, Column{c.Name, c.Meaning, c.Unit, c.Source, c.Kind, ""})
	}
	for i, row := range all.Rows {
		t.Rows[i] = make([]Cell, len(t.Columns))
		for j, c := range t.Columns {
			cell, err := readCell(row[c.Name], c.Kind)
			if err != nil {
				return Table{}, 0, fmt.Errorf("row %d, column %q: %w", i+1, c.Name, err)
			}
			t.Rows[i][j] = cell
		}
	}
	return t, all.Schema, nil
}

// readCell turns a JSON value back into a cell, with the decimals it was
// written with.
func readCell(v any, kind Kind) (Cell, error) {
	switch v := v.(type) {
	case nil:
		return Cell{}, nil
	case string:
		return Cell{kind: kind, text: v}, nil
	case json.Number:
		n, err := v.Float64()
		_, decimals, _ := strings.Cut(v.String(), ".")
		return NumberCell(n, len(decimals)), err
	}
	return Cell{}, fmt.Errorf("%v is neither text nor number", v)
}
