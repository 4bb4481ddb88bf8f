package layout

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"fluedrift/ingest/parse"
	"fluedrift/model/quantity"
)

// TableSchema is what a layout expects of an export, as a descriptor of Table Schema
// (Frictionless Data, version 1): whoever writes the export can check it before it is
// handed over. Fields that the export may leave out, and columns beside these, are
// allowed by fieldsMatch of version 2. Dialect and encoding stand beside, as a data
// resource has them.
type TableSchema struct {
	Fields      []SchemaField  `json:"fields"`
	Missing     []string       `json:"missingValues"`
	FieldsMatch []string       `json:"fieldsMatch"`
	Title       string         `json:"title"`
	Encoding    string         `json:"encoding,omitempty"`
	Dialect     *SchemaDialect `json:"dialect,omitempty"`
}

// SchemaField is a column.
type SchemaField struct {
	Name        string             `json:"name"`
	Description string             `json:"description,omitempty"`
	Type        string             `json:"type"`
	Format      string             `json:"format,omitempty"`
	DecimalChar string             `json:"decimalChar,omitempty"`
	GroupChar   string             `json:"groupChar,omitempty"`
	Unit        string             `json:"unit,omitempty"`
	Constraints *SchemaConstraints `json:"constraints,omitempty"`
}

// SchemaConstraints are what a cell has to keep.
type SchemaConstraints struct {
	Required bool     `json:"required,omitempty"`
	Minimum  *float64 `json:"minimum,omitempty"`
	Maximum  *float64 `json:"maximum,omitempty"`
	Enum     []string `json:"enum,omitempty"`
	Pattern  string   `json:"pattern,omitempty"`
}

// SchemaDialect is how a CSV is cut into cells.
type SchemaDialect struct {
	Delimiter string `json:"delimiter"`
	QuoteChar string `json:"quoteChar,omitempty"`
	Double    bool   `json:"doubleQuote"`
	Escape    string `json:"escapeChar,omitempty"`
	HeaderRow []int  `json:"headerRows,omitempty"`
}

// SchemaOf describes what the exports of a layout are to hold. It is stricter than
// the reader: letter case and blanks about a code count in it.
func SchemaOf(l *Layout) TableSchema {
	s := TableSchema{
		Missing: append([]string{""}, l.File.Missing...), FieldsMatch: []string{"partial"}, Title: l.Name,
	}
	if l.File.Type == "csv" || l.File.Type == "" {
		s.Encoding = l.File.Encoding
		s.Dialect = &SchemaDialect{
			Delimiter: l.File.Delimiter, Double: l.File.Escape == "", Escape: l.File.Escape, HeaderRow: []int{l.File.Header},
		}
		if q := l.Quote(); q != 0 {
			s.Dialect.QuoteChar = string(q)
		}
	}
	made := map[string]bool{}
	for i := range l.Steps {
		for _, name := range l.Steps[i].Makes() {
			made[name] = true
		}
	}
	named := map[string]bool{}
	add := func(f SchemaField) {
		if !made[f.Name] && !named[f.Name] {
			named[f.Name] = true
			s.Fields = append(s.Fields, f)
		}
	}
	for i := range l.Columns {
		add(schemaField(l, &l.Columns[i]))
	}
	for _, f := range tellingFields(l) {
		add(f)
	}
	for i := range l.Steps {
		for _, name := range l.Steps[i].Reads() {
			add(SchemaField{Name: name, Type: "string", Description: "cut or filled by a step: " + l.Steps[i].Do})
		}
	}
	if l.ExportDay.From == FromColumn {
		add(SchemaField{Name: l.ExportDay.Column, Type: "string", Description: "day of the export"})
	}
	return s
}

// schemaField describes a column.
func schemaField(l *Layout, c *Column) SchemaField {
	f := SchemaField{Name: c.Header, Type: "string", Description: purposeOf(c)}
	if c.Field == "" {
		return f
	}
	limits := SchemaConstraints{Required: c.Of.Required && !c.Optional && (c.Of.Place != OfReading || l.Record != Readings)}
	switch c.Of.Kind {
	case Code:
		if !c.Of.Open || len(c.Codes) > 0 {
			limits.Enum = wordsInFiles(c)
		}
	case Day:
		f.Type, f.Format = schemaDate(c.Days)
	case Whole:
		f.Type = "integer"
	case Measured:
		if c.Alternatives != nil { // a number with its unit, or one whose bounds another column decides
			f.Unit = DeclaredUnit(c)
			break
		}
		f.Type, f.DecimalChar, f.GroupChar, f.Unit = "number", l.File.Decimal, l.File.Thousands, c.Unit
		low, high := boundsOf(c)
		limits.Minimum, limits.Maximum = &low, &high
	case CO:
		f.Unit = DeclaredUnit(c)
		if c.Units == nil {
			limits.Pattern = coPattern(l.Numbers)
		}
	}
	if limits.Required || limits.Minimum != nil || limits.Enum != nil || limits.Pattern != "" {
		f.Constraints = &limits
	}
	return f
}

// purposeOf says what a column is for.
func purposeOf(c *Column) string {
	switch {
	case c.Ignore:
		return "not read"
	case c.Carry != "":
		return "shown as " + c.Carry
	}
	words := []string{c.Field}
	if c.Fire != "" {
		words = append(words, fmt.Sprintf("at %s fire", c.Fire))
	}
	if c.Condition != "" {
		words = append(words, string(c.Condition))
	}
	if c.Optional {
		words = append(words, "(the column may be absent)")
	}
	return strings.Join(words, " ")
}

// wordsInFiles are the words that a code column may hold, as the layout writes them.
func wordsInFiles(c *Column) []string {
	words := slices.Sorted(maps.Keys(c.Codes))
	for _, ours := range c.Of.Words {
		if c.Words[parse.Fold(ours)] == ours && !slices.Contains(words, ours) {
			words = append(words, ours)
		}
	}
	return words
}

// boundsOf are those of the field in the unit of the column.
func boundsOf(c *Column) (low, high float64) {
	low, high = c.Of.Low, c.Of.High
	if a, err := quantity.Convert(low, c.Of.Unit(), c.Measure); err == nil {
		low = a
	}
	if b, err := quantity.Convert(high, c.Of.Unit(), c.Measure); err == nil {
		high = b
	}
	return min(low, high), max(low, high)
}

// coPattern fits a CO: a number, which may be a limit.
func coPattern(n parse.Numbers) string {
	decimal := `\.`
	if n.Decimal == "," {
		decimal = ","
	}
	return `\s*[<>]?\s*[0-9 .,']*[0-9](` + decimal + `[0-9]+)?\s*|OL`
}

// schemaDate is a way of writing days as Table Schema names it: by the marks of
// strptime, or as any text where there are several, or as a number of days.
func schemaDate(d parse.Days) (kind, format string) {
	switch pattern := d.Pattern(); {
	case d.System() != 0:
		return "integer", ""
	case pattern == "yyyy-mm-dd":
		return "date", "default"
	case strings.Contains(pattern, " or "):
		return "date", "any"
	default:
		return "date", strptime.Replace(pattern)
	}
}

var strptime = strings.NewReplacer("yyyy", "%Y", "yy", "%y", "mmm", "%b", "mm", "%m", "m", "%m", "dd", "%d", "d", "%d")
