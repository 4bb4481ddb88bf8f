package layout

import (
	"fmt"
	"regexp"
	"slices"

	"fluedrift/ingest/parse"
	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/model/quantity"
)

// Forms of a readings export.
const (
	Long = "long" // a row a reading
	Wide = "wide" // a row a visit, columns for each fire and condition
)

// Layout is one declared meaning of exports, checked and compiled.
type Layout struct {
	Path   string   `toml:"-"` // file it was read from
	Name   string   `toml:"name"`
	Record string   `toml:"record"`
	Form   string   `toml:"form"`
	Source string   `toml:"source"`
	Key    []string `toml:"key"` // readings: fields that, with the serial, tell one visit from another

	Match     Match             `toml:"match"`
	ExportDay ExportDay         `toml:"export_day"`
	File      File              `toml:"file"`
	Constants map[string]string `toml:"constants"`
	Steps     []Step            `toml:"step"`
	Columns   []Column          `toml:"column"`

	// Compiled from the above.
	Days    parse.Days       `toml:"-"`
	Numbers parse.Numbers    `toml:"-"`
	Footers []*regexp.Regexp `toml:"-"` // of footer and skip: lines that are skipped
	Missing map[string]bool  `toml:"-"` // folded markers
	Fixed   []Column         `toml:"-"` // the constants as columns, by field name
	Export  parse.Days       `toml:"-"` // pattern of a day in a file's name
	Day     day.Day          `toml:"-"` // declared export day, else day.None
}

// Match says which files a layout is for.
type Match struct {
	Names   []string `toml:"names"`
	Columns []string `toml:"columns"`
}

// ExportDay says how the day of an export is known.
type ExportDay struct {
	From    string `toml:"from"`
	Pattern string `toml:"pattern"`
	Column  string `toml:"column"`
	Day     string `toml:"day"`
}

// Ways in which the day of an export is known.
const (
	FromName     = "name"
	FromColumn   = "column"
	FromDeclared = "declared"
	FromUnknown  = "unknown"
)

// File says how the bytes of a file are read.
type File struct {
	Type      string   `toml:"type"`
	Delimiter string   `toml:"delimiter"`
	Quote     *string  `toml:"quote"`
	Escape    string   `toml:"escape"`
	Encoding  string   `toml:"encoding"`
	Header    int      `toml:"-"` // line in which the header ends, 0 for none
	Decimal   string   `toml:"decimal"`
	Thousands string   `toml:"thousands"`
	Dates     Patterns `toml:"dates"`
	Century   int      `toml:"century"`
	Months    Patterns `toml:"months"`
	Zone      string   `toml:"zone"`
	Missing   []string `toml:"missing"`
	Footer    []string `toml:"footer"`
	Skip      []string `toml:"skip"`
	SkipLines []int    `toml:"skip_lines"`
	Sheet     any      `toml:"sheet"`
	Rows      string   `toml:"rows"`
	LastLine  string   `toml:"last_line"`
	StruckOut string   `toml:"struck_out"`
	Table     int      `toml:"table"`

	HeaderLines  HeaderLines `toml:"header"`
	OtherSheets  []string    `toml:"other_sheets"`  // sheets that are known and not read
	BlankHeaders []int       `toml:"blank_headers"` // numbers, from 1, of columns without a header that are known and not read
}

// Patterns are ways of writing, tried in order: in the file one text, or a list.
type Patterns []string

// UnmarshalTOML reads one text or a list of them.
func (p *Patterns) UnmarshalTOML(v any) error {
	list, ok := v.([]any)
	if !ok {
		list = []any{v}
	}
	*p = Patterns{}
	for _, one := range list {
		text, ok := one.(string)
		if !ok {
			return fmt.Errorf("%v is neither a text nor a list of texts", one)
		}
		*p = append(*p, text)
	}
	return nil
}

// Column is what one column of the file means.
type Column struct {
	Headers     Patterns          `toml:"header"` // names it may have
	Header      string            `toml:"-"`      // the first of them; in a file that is read, the one it has there
	Position    int               `toml:"position"`
	Field       string            `toml:"field"`
	Unit        string            `toml:"unit"`
	Units       []string          `toml:"units"`
	UnitFrom    string            `toml:"unit_from"`
	UnitCodes   map[string]string `toml:"unit_codes"`
	Fire        judge.Fire        `toml:"fire"`
	Condition   judge.Condition   `toml:"condition"`
	Basis       string            `toml:"basis"`
	BasisFrom   string            `toml:"basis_from"`
	BasisCodes  map[string]string `toml:"basis_codes"`
	ReferenceO2 float64           `toml:"reference_o2"`
	Gas         string            `toml:"gas"`
	WetFuel     string            `toml:"wet_fuel"`
	Codes       map[string]string `toml:"codes"`
	Carry       string            `toml:"carry"`
	Ignore      bool              `toml:"ignore"`
	Optional    bool              `toml:"optional"`
	Missing     []string          `toml:"missing"`
	Dates       Patterns          `toml:"dates"`
	Merged      *bool             `toml:"merged"`

	// Compiled from the above.
	Line         int                       `toml:"-"` // line in the layout's file
	Of           Field                     `toml:"-"`
	Measure      quantity.Unit             `toml:"-"` // declared unit; of several, the first
	Alternatives []InUnit                  `toml:"-"` // the units, where cells have several
	Words        map[string]string         `toml:"-"` // folded export word -> our word
	Bases        map[string]string         `toml:"-"` // folded text of basis_from -> basis of CO
	Markers      map[string]bool           `toml:"-"` // folded missing markers
	Days         parse.Days                `toml:"-"`
	Value        string                    `toml:"-"` // text of a constant
	Wet          *combustion.Stoichiometry `toml:"-"` // of the fuel whose flue gas was measured wet; nil for dry gas
}

// Quote is the quote mark, 0 for none.
func (l *Layout) Quote() byte {
	if l.File.Quote == nil {
		return '"'
	}
	if *l.File.Quote == "" {
		return 0
	}
	return (*l.File.Quote)[0]
}

// Escape is the character before a quote inside a quoted cell, 0 where such a
// quote is doubled.
func (l *Layout) Escape() byte {
	if l.File.Escape == "" {
		return 0
	}
	return l.File.Escape[0]
}

// Workbook reports whether the files are workbooks.
func (l *Layout) Workbook() bool { return l.File.Type == "xlsx" }

// Text reports whether the files are lines of text, cut at a delimiter.
func (l *Layout) Text() bool { return l.File.Type == "csv" }

// Named reports whether the files name their columns themselves, above the first row.
func (l *Layout) Named() bool { return namesColumns(l.File.Type) }

func namesColumns(typ string) bool { return typ == "parquet" || typ == "jsonl" || typ == "json" }

// Padded reports whether rows may have fewer cells than their header, the others blank.
func (l *Layout) Padded() bool { return l.File.Type == "xlsx" || l.File.Type == "html" }

// Has reports whether a column or a constant gives the field.
func (l *Layout) Has(field string) bool {
	for _, c := range l.Columns {
		if c.Field == field {
			return true
		}
	}
	_, ok := l.Constants[field]
	return ok
}

// OneHeader reports files whose header is one line of a known number.
func (l *Layout) OneHeader() bool {
	return l.File.Header > 0 && len(l.File.HeaderLines) < 2 && l.File.Table == 0
}

// Names are the headers of a file without one, by position.
func (l *Layout) Names() []string {
	var names []string
	for _, c := range l.Columns {
		for len(names) < c.Position {
			names = append(names, placeName(len(names)+1))
		}
		if c.Position > 0 {
			names[c.Position-1] = c.Header
		}
	}
	return names
}

// Skips reports a line below the header that the layout declares to be no row.
func (l *Layout) Skips(number int, text string) bool {
	if slices.Contains(l.File.SkipLines, number) {
		return true
	}
	for _, re := range l.Footers {
		if re.MatchString(text) {
			return true
		}
	}
	return false
}

// Group is one fire and condition of the wide form; one of them is "" where a column
// of the file says it.
type Group struct {
	Fire      judge.Fire
	Condition judge.Condition
}

// String names the reading in messages.
func (g Group) String() string {
	switch {
	case g.Condition == "":
		return string(g.Fire) + " fire"
	case g.Fire == "":
		return string(g.Condition)
	}
	return fmt.Sprintf("%s fire %s", g.Fire, g.Condition)
}

// Groups lists the fires and conditions that columns of CO2 and O2 of the wide form
// name, in order of their first column. A column that says less than they do is
// shared by the groups it fits.
func (l *Layout) Groups() []Group {
	var groups []Group
	for _, c := range l.Columns {
		g := Group{c.Fire, c.Condition}
		if !isGas(&c) || g == (Group{}) {
			continue
		}
		if !slices.Contains(groups, g) {
			groups = append(groups, g)
		}
	}
	return groups
}

// Halved names what a column of the file says of the readings of a row, where the
// columns of the wide form say the other half: "fire" or "condition"; else "".
func (l *Layout) Halved() string {
	for _, c := range l.Columns {
		switch {
		case l.Form != Wide || !isGas(&c):
		case c.Fire == "" && c.Condition != "":
			return "fire"
		case c.Fire != "" && c.Condition == "":
			return "condition"
		}
	}
	return ""
}

// isGas reports a column of CO2 or O2, without one of which there is no reading.
func isGas(c *Column) bool { return c.Field == "co2" || c.Field == "o2" }

// String names a layout in messages.
func (l *Layout) String() string { return fmt.Sprintf("%q", l.Name) }
