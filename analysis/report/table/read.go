package table

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"fluedrift/model/day"
)

// ReadJSON reads a list that WriteJSON wrote, and the schema it was written in; a file
// holds no short headers.
func ReadJSON(r io.Reader) (t Table, schema int, err error) {
	text, err := io.ReadAll(r)
	if err != nil {
		return Table{}, 0, err
	}
	var all struct {
		jsonHead
		Rows []map[string]any `json:"rows"`
	}
	head, rows, apart := bytes.Cut(text, []byte(beforeRows+"\n"))
	if apart {
		head = append(slices.Clone(head), '}')
	} else {
		head = text
	}
	d := json.NewDecoder(bytes.NewReader(head))
	d.UseNumber()
	if err := d.Decode(&all); err != nil {
		return Table{}, 0, fmt.Errorf("not a published list: %w", err)
	}
	if err := Readable(all.Schema); err != nil {
		return Table{}, 0, err
	}
	t = Table{Name: all.List, AsOf: day.None, Head: all.Head}
	if asOf, err := day.Parse(all.AsOf); err == nil {
		t.AsOf = asOf
	}
	for _, c := range all.Columns {
		t.Columns = append(t.Columns, Column{c.Name, c.Meaning, c.Unit, c.Source, c.Kind, ""})
	}
	if apart {
		if t.Rows, err = readLines(rows, t.Columns); err != nil {
			return Table{}, 0, err
		}
		return t, all.Schema, nil
	}
	for i, row := range all.Rows {
		if err := t.add(row); err != nil {
			return Table{}, 0, fmt.Errorf("row %d, %w", i+1, err)
		}
	}
	return t, all.Schema, nil
}

// add adds a row that was decoded.
func (t *Table) add(row map[string]any) error {
	cells := make([]Cell, len(t.Columns))
	for j, c := range t.Columns {
		var err error
		if cells[j], err = readCell(row[c.Name], c.Kind); err != nil {
			return fmt.Errorf("column %q: %w", c.Name, err)
		}
	}
	t.Rows = append(t.Rows, cells)
	return nil
}

// readLines reads the rows of a list, one a line, of which a library of JSON would make
// maps first. A line that is not as WriteJSON writes it, the library decodes.
func readLines(text []byte, columns []Column) (rows [][]Cell, err error) {
	end := []byte(afterRows)
	body, whole := bytes.CutSuffix(append([]byte("\n"), text...), end)
	if !whole {
		return nil, fmt.Errorf("not a published list: %w", io.ErrUnexpectedEOF)
	}
	if len(body) == 0 {
		return [][]Cell{}, nil
	}
	names := make([][]byte, len(columns))
	for i, c := range columns {
		if names[i], err = plainJSON(c.Name); err != nil {
			return nil, err
		}
	}
	read := Table{Columns: columns, Rows: make([][]Cell, 0, bytes.Count(body, []byte("\n")))}
	for i, line := range bytes.Split(body[1:], []byte("\n")) {
		line = bytes.TrimSuffix(line, []byte(","))
		if cells, ok := readLine(line, names, columns); ok {
			read.Rows = append(read.Rows, cells)
			continue
		}
		var row map[string]any
		d := json.NewDecoder(bytes.NewReader(line))
		d.UseNumber()
		if err := d.Decode(&row); err != nil {
			return nil, fmt.Errorf("not a published list: row %d: %w", i+1, err)
		}
		if err := read.add(row); err != nil {
			return nil, fmt.Errorf("row %d, %w", i+1, err)
		}
	}
	return read.Rows, nil
}

// readLine reads a row as WriteJSON writes it; ok is false where it is not so.
func readLine(line []byte, names [][]byte, columns []Column) (cells []Cell, ok bool) {
	cells = make([]Cell, len(columns))
	for i, name := range names {
		if len(line) == 0 || line[0] != "{,"[min(i, 1)] || !bytes.HasPrefix(line[1:], name) {
			return nil, false
		}
		if line = line[1+len(name):]; len(line) < 2 || line[0] != ':' {
			return nil, false
		}
		line = line[1:]
		end := bytes.IndexAny(line, ",}")
		if line[0] == '"' {
			end = 1 + bytes.IndexByte(line[1:], '"') + 1
		}
		if end < 1 {
			return nil, false
		}
		value := line[:end]
		line = line[end:]
		switch {
		case value[0] == '"':
			if len(value) < 2 || bytes.IndexByte(value, '\\') >= 0 {
				return nil, false
			}
			cells[i] = Cell{kind: columns[i].Kind, text: string(value[1 : len(value)-1])}
		case string(value) != "null":
			n, err := strconv.ParseFloat(string(value), 64)
			if err != nil || len(bytes.Trim(value, "-.0123456789")) > 0 {
				return nil, false
			}
			_, decimals, _ := bytes.Cut(value, []byte("."))
			cells[i] = NumberCell(n, len(decimals))
		}
	}
	return cells, string(line) == "}"
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
