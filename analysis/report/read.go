package report

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"

	"fluedrift/model/judge"
)

// splitOut is the schema from which out_probability of the watchlist is always that
// of the as-of day. Before it was the worst until the planned day in all tiers but
// one.
const splitOut = 3

// ReadJSON reads a list that WriteJSON wrote. Short headers, which a list keeps
// to itself, come from the list of that name.
func ReadJSON(r io.Reader) (Table, error) {
	var all struct {
		jsonHead
		Rows []map[string]any `json:"rows"`
	}
	d := json.NewDecoder(r)
	d.UseNumber()
	if err := d.Decode(&all); err != nil {
		return Table{}, fmt.Errorf("not a published list: %w", err)
	}
	if err := Readable(all.Schema); err != nil {
		return Table{}, err
	}
	t := Table{Name: all.List, AsOf: judge.NoDay, Head: all.Head, Rows: make([][]Cell, len(all.Rows))}
	if day, err := time.Parse(time.DateOnly, all.AsOf); err == nil {
		t.AsOf = int32(day.Unix() / 86400)
	}
	short := shortHeaders(all.List)
	if all.Schema < splitOut && all.List == "watchlist" {
		short["out_probability"] = "out, today or at worst"
	}
	for _, c := range all.Columns {
		t.Columns = append(t.Columns, Column{c.Name, c.Meaning, c.Unit, c.Source, c.Kind, short[c.Name]})
	}
	for i, row := range all.Rows {
		t.Rows[i] = make([]Cell, len(t.Columns))
		for j, c := range t.Columns {
			cell, err := readCell(row[c.Name], c.Kind)
			if err != nil {
				return Table{}, fmt.Errorf("row %d, column %q: %w", i+1, c.Name, err)
			}
			t.Rows[i][j] = cell
		}
	}
	return t, nil
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

// shortHeaders are the terminal headers of a list's columns by name.
func shortHeaders(list string) map[string]string {
	short := map[string]string{}
	for _, l := range Lists() {
		if l.Name != list {
			continue
		}
		for _, c := range l.Columns {
			short[c.Name] = c.Short
		}
	}
	return short
}
