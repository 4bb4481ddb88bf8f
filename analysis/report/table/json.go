package table

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

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
	names := make([][]byte, len(t.Columns))
	for i, c := range t.Columns {
		if names[i], err = plainJSON(c.Name); err != nil {
			return fmt.Errorf("write %s: %w", t.Name, err)
		}
	}
	out := bufio.NewWriter(w)
	out.Write(bytes.TrimSuffix(start, []byte("}"))) // the rows follow in the same object
	out.WriteString(beforeRows)
	line := []byte("\n")
	for i, row := range t.Rows {
		if line, err = appendRow(line, names, row); err != nil {
			return fmt.Errorf("write %s: %w", t.Name, err)
		}
		if i < len(t.Rows)-1 {
			line = append(line, ',')
		}
		out.Write(line)
		line = append(line[:0], '\n')
	}
	out.WriteString(afterRows)
	if err := out.Flush(); err != nil { // keeps the first error of all writes
		return fmt.Errorf("write %s: %w", t.Name, err)
	}
	return nil
}

// What stands before the rows and behind them.
const beforeRows, afterRows = ",\"rows\":[", "\n]}\n"

// appendRow adds a row as an object in the order of its columns.
func appendRow(to []byte, names [][]byte, row []Cell) ([]byte, error) {
	for i, c := range row {
		to = append(to, "{,"[min(i, 1)])
		to = append(append(to, names[i]...), ':')
		switch {
		case c.kind == Number:
			to = append(to, c.String()...)
		case c.Missing():
			to = append(to, "null"...)
		case asItIs(c.text):
			to = append(append(append(to, '"'), c.text...), '"')
		default:
			value, err := plainJSON(c.text)
			if err != nil {
				return nil, err
			}
			to = append(to, value...)
		}
	}
	return append(to, '}'), nil
}

// asItIs reports a text of which no character has to be escaped.
func asItIs(text string) bool {
	for i := 0; i < len(text); i++ {
		if c := text[i]; c < ' ' || c == '"' || c == '\\' || c >= 0x7f {
			if c < 0x7f {
				return false
			}
			return utf8.ValidString(text) && !strings.ContainsFunc(text, mustEscape)
		}
	}
	return true
}

func mustEscape(r rune) bool { return r < ' ' || r == '"' || r == '\\' || words.Hidden(r) }

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
