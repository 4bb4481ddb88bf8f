package table

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"unicode/utf16"

	"fluedrift/analysis/report/words"
)

// jsonHead is what stands before the rows.
type jsonHead struct {
	List     string       `json:"list"`
	Schema   int          `json:"schema"`
	AsOf     string       `json:"as_of,omitempty"`
	Head     []string     `json:"head,omitempty"`
	Cautions []string     `json:"cautions"`
	Columns  []jsonColumn `json:"columns"`
}

type jsonColumn struct {
	Name    string `json:"name"`
	Meaning string `json:"meaning"`
	Unit    string `json:"unit,omitempty"`
	Source  string `json:"source"`
	Kind    Kind   `json:"kind"`
}

// WriteJSON writes a list as one object: list, schema, as_of, head, cautions, columns,
// and rows, an object a row with the columns' names in their order. Text is
// exact, numbers are numbers, days ISO 8601 texts, a missing value is null.
func WriteJSON(w io.Writer, t Table) error {
	head := jsonHead{List: t.Name, Schema: Schema, AsOf: DayCell(t.AsOf).String(), Head: t.Lines(), Cautions: words.Cautions()}
	for _, c := range t.Columns {
		head.Columns = append(head.Columns, jsonColumn{c.Name, c.Meaning, c.Unit, c.Source, c.Kind})
	}
	start, err := plainJSON(head)
	if err != nil {
		return fmt.Errorf("write %s: %w", t.Name, err)
	}
	out := bufio.NewWriter(w)
	out.Write(bytes.TrimSuffix(start, []byte("}"))) // the rows follow in the same object
	out.WriteString(",\"rows\":[")
	for i, row := range t.Rows {
		if i > 0 {
			out.WriteByte(',')
		}
		out.WriteByte('\n')
		if err := writeRow(out, t.Columns, row); err != nil {
			return fmt.Errorf("write %s: %w", t.Name, err)
		}
	}
	out.WriteString("\n]}\n")
	if err := out.Flush(); err != nil { // keeps the first error of all writes
		return fmt.Errorf("write %s: %w", t.Name, err)
	}
	return nil
}

// writeRow writes a row as an object in the order of its columns.
func writeRow(out *bufio.Writer, columns []Column, row []Cell) error {
	for i, c := range row {
		name, err := plainJSON(columns[i].Name)
		if err != nil {
			return err
		}
		value := []byte("null")
		switch {
		case c.kind == Number:
			value = []byte(c.String())
		case !c.Missing():
			if value, err = plainJSON(c.text); err != nil {
				return err
			}
		}
		out.WriteByte("{,"[min(i, 1)])
		out.Write(name)
		out.WriteByte(':')
		out.Write(value)
	}
	return out.WriteByte('}')
}

// plainJSON encodes a value on one line.
func plainJSON(v any) ([]byte, error) {
	b, err := EncodeJSON(v, "")
	return bytes.TrimSuffix(b, []byte("\n")), err
}

// EncodeJSON encodes a value with a line end behind it, without the escapes that
// HTML would need and with one for each character that hides or steers: what a
// reader's program decodes is exact, and what a person sees hides nothing.
func EncodeJSON(v any, indent string) ([]byte, error) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", indent)
	if err := e.Encode(v); err != nil {
		return nil, err
	}
	if !bytes.ContainsFunc(b.Bytes(), hiddenInJSON) {
		return b.Bytes(), nil
	}
	var plain bytes.Buffer
	for _, r := range b.String() {
		high, low := utf16.EncodeRune(r)
		switch {
		case !hiddenInJSON(r):
			plain.WriteRune(r)
		case r > 0xffff:
			fmt.Fprintf(&plain, `\u%04x\u%04x`, high, low)
		default:
			fmt.Fprintf(&plain, `\u%04x`, r)
		}
	}
	return plain.Bytes(), nil
}

// hiddenInJSON: those below a blank the encoder has escaped, or has set between
// the values itself.
func hiddenInJSON(r rune) bool { return r >= ' ' && words.Hidden(r) }
