package layout

import (
	"fmt"
	"path"
	"regexp"
	"slices"
	"sort"
	"strings"
	"unicode/utf8"

	"fluedrift/ingest/parse"
	"fluedrift/model/quantity"
)

// encodings a file may be declared in.
var encodings = []string{"utf-8", "utf-16le", "utf-16be", "windows-1252", "latin-1"}

// Bases of a CO column.
var bases = []string{"as measured", "air-free", "reference", "unknown"}

// compile checks the layout and fills what is made from it.
func (l *Layout) compile() error {
	for _, step := range []func() error{
		l.checkHead, l.checkMatch, l.checkFile, l.checkExportDay, l.checkColumns, l.checkConstants, l.checkRequired,
	} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

func (l *Layout) checkHead() error {
	switch {
	case l.Name == "":
		return atKey("name", "a layout needs a name")
	case !slices.Contains(Records(), l.Record):
		return atKey("record", "record %q is not one of %s", l.Record, strings.Join(Records(), ", "))
	case l.Source == "":
		return atKey("source", "a layout needs a source: the group of exports its visit ids belong to")
	}
	if l.Form == "" {
		l.Form = Long
	}
	if l.Form != Long && (l.Form != Wide || l.Record != Readings) {
		return atKey("form", "form %q: write %q, or %q for readings", l.Form, Long, Wide)
	}
	return nil
}

func (l *Layout) checkMatch() error {
	if len(l.Match.Names) == 0 && len(l.Match.Columns) == 0 {
		return atKey("match", "a layout needs names or columns to match files by")
	}
	for _, n := range l.Match.Names {
		if _, err := path.Match(n, "x"); err != nil || n == "" {
			return atKey("match.names", "name pattern %q is not a pattern", n)
		}
	}
	return nil
}

func (l *Layout) checkFile() error {
	f := &l.File
	set := func(v *string, def string) {
		if *v == "" {
			*v = def
		}
	}
	set(&f.Type, "csv")
	set(&f.Delimiter, ",")
	set(&f.Encoding, "utf-8")
	set(&f.Decimal, ".")
	set(&f.Dates, "yyyy-mm-dd")
	set(&f.LastLine, "whole")
	if f.Header == 0 {
		f.Header = 1
	}
	switch {
	case f.Type != "csv" && f.Type != "xlsx":
		return atKey("file.type", "type %q: write \"csv\" or \"xlsx\"", f.Type)
	case utf8.RuneCountInString(f.Delimiter) != 1 || strings.ContainsAny(f.Delimiter, "\r\n\""):
		return atKey("file.delimiter", "delimiter %q is not one character other than a line end or a quote", f.Delimiter)
	case f.Quote != nil && len(*f.Quote) > 1 || f.Quote != nil && *f.Quote == f.Delimiter:
		return atKey("file.quote", "quote %q: write one ASCII character other than the delimiter, or \"\" for none", *f.Quote)
	case !slices.Contains(encodings, f.Encoding):
		return atKey("file.encoding", "encoding %q is not one of %s", f.Encoding, strings.Join(encodings, ", "))
	case f.Header < 1 || f.Header > 1000:
		return atKey("file.header", "header %d is not a line number from 1 to 1000", f.Header)
	case f.LastLine != "whole" && f.LastLine != "any":
		return atKey("file.last_line", "last_line %q: write \"whole\" or \"any\"", f.LastLine)
	}
	if err := l.checkSheet(); err != nil {
		return err
	}
	if err := l.checkNumbers(); err != nil {
		return err
	}
	days, err := parse.NewDays(f.Dates, f.Century)
	if err != nil {
		return atKey("file.dates", "%w", err)
	}
	l.Days = days
	l.Missing = markers(f.Missing)
	for _, p := range f.Footer {
		re, err := regexp.Compile(p)
		if err != nil || p == "" {
			return atKey("file.footer", "footer %q is not a regular expression: %v", p, err)
		}
		l.Footers = append(l.Footers, re)
	}
	return nil
}

func (l *Layout) checkSheet() error {
	switch s := l.File.Sheet.(type) {
	case nil:
		l.File.Sheet = int64(1)
	case string:
		if s == "" {
			return atKey("file.sheet", "a sheet needs a name or a number from 1")
		}
	case int64:
		if s < 1 {
			return atKey("file.sheet", "sheet %d: sheets are numbered from 1", s)
		}
	default:
		return atKey("file.sheet", "sheet %v: write a name in quotes or a number from 1", s)
	}
	return nil
}

func (l *Layout) checkNumbers() error {
	f := l.File
	one := func(s string) bool { return utf8.RuneCountInString(s) == 1 && !strings.ContainsAny(s, "0123456789+-E") }
	if !one(f.Decimal) {
		return atKey("file.decimal", "decimal mark %q is not one character", f.Decimal)
	}
	if f.Thousands != "" && (!one(f.Thousands) || f.Thousands == f.Decimal) {
		return atKey("file.thousands", "thousands mark %q: write one character other than the decimal mark, or \"\" for none", f.Thousands)
	}
	l.Numbers = parse.Numbers{Decimal: f.Decimal, Thousands: f.Thousands}
	return nil
}

func (l *Layout) checkExportDay() error {
	e := &l.ExportDay
	l.Day = parse.NoDay
	if e.From == "" {
		e.From = FromUnknown
	}
	var err error
	switch e.From {
	case FromUnknown:
	case FromName:
		if l.Export, err = parse.NewDays(e.Pattern, l.File.Century); err != nil {
			return atKey("export_day.pattern", "%w", err)
		}
	case FromColumn:
		if e.Column == "" {
			return atKey("export_day", "export_day from column needs the column's header")
		}
	case FromDeclared:
		iso, _ := parse.NewDays("yyyy-mm-dd", 0)
		d, _, f := iso.Parse(e.Day)
		if f != nil {
			return atKey("export_day.day", "declared day: %s", f.Message)
		}
		l.Day = d
	default:
		return atKey("export_day.from", "from %q: write name, column, declared or unknown", e.From)
	}
	return nil
}

// markers folds missing markers; blank is always one.
func markers(list []string) map[string]bool {
	m := map[string]bool{"": true}
	for _, s := range list {
		m[parse.Fold(s)] = true
	}
	return m
}

func (l *Layout) checkColumns() error {
	if len(l.Columns) == 0 {
		return atKey("", "a layout needs at least one [[column]]")
	}
	headers := map[string]bool{}
	uses := map[string]string{}
	for i := range l.Columns {
		c := &l.Columns[i]
		c.Header = parse.Trim(c.Header)
		if c.Header == "" {
			return c.fault("a column needs the header it has in the file")
		}
		if headers[c.Header] {
			return c.fault("the header is declared twice")
		}
		headers[c.Header] = true
		if err := l.checkColumn(c); err != nil {
			return err
		}
		use := c.use()
		if other, ok := uses[use]; ok && use != "" {
			return c.fault("means the same as column %q: field %q twice", other, c.Field)
		}
		uses[use] = c.Header
	}
	return nil
}

// use tells two columns of one meaning; "" for columns that are not read.
func (c Column) use() string {
	switch {
	case c.Ignore:
		return ""
	case c.Carry != "":
		return "carry\x00" + c.Carry
	}
	return c.Field + "\x00" + c.Fire + "\x00" + c.Condition
}

func (l *Layout) checkColumn(c *Column) error {
	given := 0
	for _, b := range []bool{c.Field != "", c.Carry != "", c.Ignore} {
		if b {
			given++
		}
	}
	switch {
	case given != 1:
		return c.fault("a column needs one of field, carry or ignore = true")
	case c.Ignore:
		return nil
	case c.Carry != "" && l.Record != Units:
		return c.fault("carry is for the unit register only")
	case c.Carry != "":
		return nil
	}
	if err := l.checkField(c); err != nil {
		return err
	}
	if err := l.checkWide(c); err != nil {
		return err
	}
	if err := checkUnit(c); err != nil {
		return err
	}
	if err := checkBasis(c); err != nil {
		return err
	}
	return checkCodes(c)
}

func (l *Layout) checkField(c *Column) error {
	f, ok := FieldOf(l.Record, c.Field)
	if !ok {
		return c.fault("record %s has no field %q\nit has %s", l.Record, c.Field, strings.Join(fieldNames(l.Record), ", "))
	}
	c.Of = f
	c.Markers = l.Missing
	if c.Missing != nil {
		c.Markers = markers(c.Missing)
	}
	c.Days = l.Days
	if c.Dates != "" {
		if f.Kind != Day {
			return c.fault("dates is for fields that are days")
		}
		days, err := parse.NewDays(c.Dates, l.File.Century)
		if err != nil {
			return c.fault("%w", err)
		}
		c.Days = days
	}
	return nil
}

func fieldNames(record string) []string {
	var names []string
	for _, f := range Fields(record) {
		names = append(names, f.Name)
	}
	return names
}

// checkWide holds fire and condition to the wide form: reading fields may have
// them, adjusted may have a fire.
func (l *Layout) checkWide(c *Column) error {
	if c.Fire == "" && c.Condition == "" {
		return nil
	}
	if l.Form != Wide {
		return c.fault("fire and condition of a column are for the wide form")
	}
	if c.Fire != "" && !slices.Contains(fires, c.Fire) {
		return c.fault("fire %q is not one of %s", c.Fire, strings.Join(fires, ", "))
	}
	if c.Condition != "" && !slices.Contains(conditions, c.Condition) {
		return c.fault("condition %q is not one of %s", c.Condition, strings.Join(conditions, ", "))
	}
	if c.Field == "adjusted" {
		if c.Condition != "" || c.Fire != "high" && c.Fire != "low" && c.Fire != "single" {
			return c.fault("adjusted takes a fire of high, low or single and no condition")
		}
		return nil
	}
	if c.Of.Place != OfReading || c.Field == "fire" || c.Field == "condition" {
		return c.fault("field %q belongs to the visit and takes no fire or condition", c.Field)
	}
	return nil
}

func checkUnit(c *Column) error {
	f := c.Of
	if f.Kind != Measured && f.Kind != CO {
		if c.Unit != "" {
			return c.fault("field %q has no unit of measure", c.Field)
		}
		return nil
	}
	name := c.Unit
	if name == "" {
		name = f.Default
	}
	if name == "" {
		return c.fault("field %q needs its unit of measure\nadd unit = %q or another unit of %s", c.Field, f.Canonical, f.Quantity)
	}
	u, err := quantity.Lookup(name)
	if err != nil {
		return c.fault("%w", err)
	}
	if !f.Takes(u) {
		return c.fault("field %q is a %s and cannot be measured in %q", c.Field, f.Quantity, name)
	}
	c.Unit, c.Measure = name, u
	return nil
}

func checkBasis(c *Column) error {
	if c.Of.Kind != CO {
		if c.Basis != "" || c.ReferenceO2 != 0 {
			return c.fault("basis and reference_o2 are for CO")
		}
		return nil
	}
	if c.Basis == "" {
		c.Basis = "unknown"
	}
	if !slices.Contains(bases, c.Basis) {
		return c.fault("basis %q is not one of %s", c.Basis, strings.Join(bases, ", "))
	}
	if (c.Basis == "reference") != (c.ReferenceO2 > 0 && c.ReferenceO2 < 20) {
		return c.fault("basis reference and a reference_o2 between 0 and 20 %% belong together")
	}
	return nil
}

// checkCodes makes the word list of a code column: the declared words, and our
// own words except those that the export is declared to write in another way.
func checkCodes(c *Column) error {
	if c.Of.Kind != Code {
		if len(c.Codes) > 0 {
			return c.fault("field %q takes no codes", c.Field)
		}
		return nil
	}
	c.Words = map[string]string{}
	declared := map[string]bool{}
	from := make([]string, 0, len(c.Codes))
	for word := range c.Codes {
		from = append(from, word)
	}
	sort.Strings(from)
	for _, word := range from {
		ours := c.Codes[word]
		if !slices.Contains(c.Of.Words, ours) && (!c.Of.Open || ours == "") {
			return c.fault("code %q means %q, which is not one of %s", word, ours, strings.Join(c.Of.Words, ", "))
		}
		if other, ok := c.Words[parse.Fold(word)]; ok && other != ours {
			return c.fault("code %q means both %q and %q", word, other, ours)
		}
		c.Words[parse.Fold(word)] = ours
		declared[ours] = true
	}
	for _, w := range c.Of.Words {
		if _, taken := c.Words[w]; !taken && !declared[w] {
			c.Words[w] = w
		}
	}
	return nil
}

// checkConstants compiles the constants as columns of their default unit.
func (l *Layout) checkConstants() error {
	names := make([]string, 0, len(l.Constants))
	for n := range l.Constants {
		names = append(names, n)
	}
	sort.Strings(names)
	for _, n := range names {
		c := Column{Header: n, Field: n, Value: l.Constants[n]}
		if err := l.checkField(&c); err != nil {
			return atKey("constants."+n, "constant: %w", err)
		}
		for _, col := range l.Columns {
			if col.Field == n {
				return atKey("constants."+n, "constant %q: column %q gives the field too", n, col.Header)
			}
		}
		c.Unit = c.Of.Canonical
		if c.Of.Kind != Measured && c.Of.Kind != CO {
			c.Unit = ""
		}
		c.Days, _ = parse.NewDays("yyyy-mm-dd", 0)
		for _, check := range []func(*Column) error{checkUnit, checkBasis, checkCodes} {
			if err := check(&c); err != nil {
				return atKey("constants."+n, "constant: %w", err)
			}
		}
		l.Fixed = append(l.Fixed, c)
	}
	return nil
}

// checkRequired holds a layout to the fields without which no line of it could
// be accepted.
func (l *Layout) checkRequired() error {
	for _, f := range Fields(l.Record) {
		wide := l.Form == Wide && (f.Name == "fire" || f.Name == "condition")
		if f.Required && !wide && !l.Has(f.Name) {
			return atKey("record", "record %s needs the field %q\nadd a [[column]] or a constant for it", l.Record, f.Name)
		}
	}
	if l.Record != Readings {
		return nil
	}
	if !l.Has("co2") && !l.Has("o2") {
		return atKey("record", "readings need a column for co2 or for o2")
	}
	if l.Form != Wide {
		return nil
	}
	return l.checkGroups()
}

// checkGroups: every column of the wide form has a reading to belong to.
func (l *Layout) checkGroups() error {
	groups := l.Groups()
	if len(groups) == 0 {
		return atKey("form", "the wide form needs co2 or o2 columns with a fire and a condition")
	}
	for _, c := range l.Columns {
		fits := slices.ContainsFunc(groups, c.Fits)
		if c.Of.Place == OfReading && !fits {
			return c.fault("no co2 or o2 column has fire %q and condition %q", c.Fire, c.Condition)
		}
	}
	return nil
}

// Fits reports whether a column of the wide form gives a value to the readings
// of a group: its fire and its condition are that of the group or not given.
func (c Column) Fits(g Group) bool {
	return (c.Fire == "" || c.Fire == g.Fire) && (c.Condition == "" || c.Condition == g.Condition)
}

// Group is one fire and condition of the wide form.
type Group struct{ Fire, Condition string }

// Groups lists the fires and conditions that columns of the wide form name
// together, in order of their first column. A column with a fire only, or
// with neither, is shared by the groups it fits.
func (l *Layout) Groups() []Group {
	var groups []Group
	for _, c := range l.Columns {
		g := Group{c.Fire, c.Condition}
		if c.Field != "co2" && c.Field != "o2" || c.Fire == "" || c.Condition == "" {
			continue
		}
		if !slices.Contains(groups, g) {
			groups = append(groups, g)
		}
	}
	return groups
}

// String names a layout in messages.
func (l *Layout) String() string { return fmt.Sprintf("%q", l.Name) }
