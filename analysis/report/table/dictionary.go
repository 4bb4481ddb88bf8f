package table

import (
	"fmt"
	"io"
	"strings"
)

// dictionaryLine is one column of one list.
type dictionaryLine struct {
	list string
	Column
}

const dictionaryName = "dictionary"

// dictionaryColumns are the columns of the dictionary itself.
var dictionaryColumns = []ColumnOf[dictionaryLine]{
	TextColumn("list", "list", "dictionary",
		"name of the list",
		func(d *dictionaryLine) string { return d.list }),
	TextColumn("column", "column", "dictionary",
		"name of the column, as in the file's header",
		func(d *dictionaryLine) string { return d.Name }),
	TextColumn("meaning", "meaning", "dictionary",
		"what it holds",
		func(d *dictionaryLine) string { return d.Meaning }),
	TextColumn("unit", "unit", "dictionary",
		"unit of measure",
		func(d *dictionaryLine) string { return d.Unit }),
	TextColumn("kind", "kind", "dictionary",
		"text, number or day",
		func(d *dictionaryLine) string { return string(d.Kind) }),
	TextColumn("source", "source", "dictionary",
		"where the value comes from: register, readings, targets, plan, judged, forecast, answers, carry",
		func(d *dictionaryLine) string { return d.Source }),
}

// Dictionary makes the list of all columns of some lists, itself included.
func Dictionary(lists []Table) Table {
	var lines []dictionaryLine
	for _, t := range lists {
		for _, c := range t.Columns {
			lines = append(lines, dictionaryLine{t.Name, c})
		}
	}
	for _, c := range Describe(dictionaryColumns) {
		lines = append(lines, dictionaryLine{dictionaryName, c})
	}
	return Fill(dictionaryName, dictionaryColumns, lines)
}

// packageResource is a list in a data package, with its table schema
// (Data Package and Table Schema, version 1, by frictionless data).
type packageResource struct {
	Name     string        `json:"name"`
	Path     string        `json:"path"`
	Profile  string        `json:"profile"`
	Format   string        `json:"format"`
	Encoding string        `json:"encoding"`
	Dialect  packageCSV    `json:"dialect"`
	Schema   packageSchema `json:"schema"`
}

type packageCSV struct {
	Delimiter      string `json:"delimiter"`
	LineTerminator string `json:"lineTerminator"`
	Header         bool   `json:"header"`
}

type packageSchema struct {
	Fields        []packageField `json:"fields"`
	MissingValues []string       `json:"missingValues"`
}

type packageField struct {
	Name        string `json:"name"`
	Title       string `json:"title"`
	Description string `json:"description"`
	Type        string `json:"type"`
	Unit        string `json:"unit,omitempty"`
	Source      string `json:"source"`
}

// tableTypes are the kinds of cells in the words of a table schema.
var tableTypes = map[Kind]string{Text: "string", Number: "number", Day: "date"}

// WriteTableSchema describes the CSV files of some lists as a data package:
// datapackage.json of Frictionless Data, a table schema for each list.
func WriteTableSchema(w io.Writer, lists []Table) error {
	var all struct {
		Profile   string            `json:"profile"`
		Name      string            `json:"name"`
		Resources []packageResource `json:"resources"`
	}
	all.Profile, all.Name = "tabular-data-package", "fluedrift-lists"
	for _, t := range lists {
		r := packageResource{
			t.Name, t.Name + ".csv", "tabular-data-resource", "csv", "utf-8",
			packageCSV{",", "\r\n", true},
			packageSchema{MissingValues: []string{""}},
		}
		for _, c := range t.Columns {
			r.Schema.Fields = append(r.Schema.Fields, packageField{c.Name, TitleOf(c), c.Meaning, tableTypes[c.Kind], c.Unit, c.Source})
		}
		all.Resources = append(all.Resources, r)
	}
	return writeIndented(w, all)
}

// webTable is a list in CSV on the Web's words.
type webTable struct {
	URL     string    `json:"url"`
	Dialect webCSV    `json:"dialect"`
	Schema  webSchema `json:"tableSchema"`
}

type webCSV struct {
	Encoding        string   `json:"encoding"`
	Delimiter       string   `json:"delimiter"`
	LineTerminators []string `json:"lineTerminators"`
	Header          bool     `json:"header"`
}

type webSchema struct {
	Columns []webColumn `json:"columns"`
}

type webColumn struct {
	Name        string `json:"name"`
	Titles      string `json:"titles"`
	Datatype    string `json:"datatype"`
	Null        string `json:"null"`
	Description string `json:"dc:description"`
	Unit        string `json:"schema:unitText,omitempty"`
}

// webTypes are the kinds of cells as CSV on the Web names them.
var webTypes = map[Kind]string{Text: "string", Number: "number", Day: "date"}

// WriteCSVW describes the CSV files of some lists as W3C's Metadata Vocabulary
// for Tabular Data has it (Recommendation of 17 December 2015).
func WriteCSVW(w io.Writer, lists []Table) error {
	all := struct {
		Context string     `json:"@context"`
		Tables  []webTable `json:"tables"`
	}{Context: "http://www.w3.org/ns/csvw"}
	for _, t := range lists {
		one := webTable{URL: t.Name + ".csv", Dialect: webCSV{"utf-8", ",", []string{"\r\n"}, true}}
		for _, c := range t.Columns {
			one.Schema.Columns = append(one.Schema.Columns, webColumn{webName(c.Name), c.Name, webTypes[c.Kind], "", c.Meaning, c.Unit})
		}
		all.Tables = append(all.Tables, one)
	}
	return writeIndented(w, all)
}

// webName makes a name that CSV on the Web takes: what is no letter, digit,
// underline, point or hyphen is encoded; a carried column may have any name.
func webName(s string) string {
	var out []byte
	for i := range len(s) {
		c := s[i]
		plain := c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '.' || c == '-' || c == '_' && i > 0
		if plain {
			out = append(out, c)
			continue
		}
		out = append(out, fmt.Sprintf("%%%02X", c)...)
	}
	return string(out)
}

// TitleOf is a column's header for people.
func TitleOf(c Column) string {
	if c.Short != "" {
		return c.Short
	}
	return strings.ReplaceAll(c.Name, "_", " ")
}

func writeIndented(w io.Writer, v any) error {
	text, err := EncodeJSON(v, " ")
	if err == nil {
		_, err = w.Write(text)
	}
	if err != nil {
		return fmt.Errorf("write dictionary: %w", err)
	}
	return nil
}
