package draft

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
)

// writer writes what a drafter guessed as a layout.
type writer struct {
	*drafter
	b strings.Builder
}

// write writes the draft.
func (d *writer) write(base string) {
	p := func(format string, args ...any) { fmt.Fprintf(&d.b, format+"\n", args...) }
	name := d.known.Name
	p("# A draft made from %s. Everything marked \"guess\" is one: check it, then", toml(base))
	p("# put the file among the layouts. Nothing is read by it until then.")
	for _, n := range d.notes {
		p("# open: %s", oneLine(n))
	}
	p("name   = %s", toml(name))
	p("record = %s # guess: by the headers", toml(d.record))
	if d.record == layout.Readings {
		p("form   = %s # guess: by the headers", toml(d.form()))
	}
	if !d.known.IsTable {
		p("source = %s # guess: the group of exports whose visit ids belong together", toml(name))
	}
	patterns := d.known.Pattern
	if patterns == nil {
		patterns = []string{NamePattern(base)}
	}
	p("\n[match]")
	p("names = %s # guess: digits of the name are taken to change", tomlList(patterns))
	d.writeExportDay(base)
	d.writeFile()
	writeReason(d)
	d.writeSteps()
	if d.known.IsTable {
		return
	}
	for _, c := range d.columns {
		d.writeColumn(c)
	}
	d.writeNeeded()
}

// NameOf is a layout's name for a file.
func NameOf(base string) string {
	name := strings.TrimSpace(strings.ReplaceAll(strings.Trim(stem(base), "-_. "), "_", " "))
	if name == "" {
		name = "new export"
	}
	return name
}

func (d *writer) writeExportDay(base string) {
	for _, pattern := range []string{"yyyy-mm-dd", "yyyymmdd", "dd-mm-yyyy", "dd.mm.yyyy"} {
		days, _ := parse.NewDays(pattern, 0)
		if _, ok := days.Find(base); ok {
			fmt.Fprintf(&d.b, "\n[export_day]\nfrom = \"name\" # guess\npattern = %s # guess\n", toml(pattern))
			return
		}
	}
	fmt.Fprintf(&d.b, "\n[export_day]\nfrom = \"unknown\" # guess: the name holds no day; declare it if another source tells\n")
}

func (d *writer) writeFile() {
	p := func(key, value, why string) { fmt.Fprintf(&d.b, "%s = %s # guess%s\n", key, value, why) }
	d.b.WriteString("\n[file]\n")
	p("type", toml(d.file.Type), "")
	l := layout.Layout{File: d.file}
	if d.file.SeveralSheets() {
		p("sheet", toml(allSheets), ": several sheets have this header; one with another is not read, and said to be so")
	}
	if d.file.Type == "html" {
		p("sheet", fmt.Sprint(d.file.Sheet), ": the number of the table with the most cells")
		p("encoding", toml(d.file.Encoding), "")
	}
	if d.file.Rows != "" {
		p("rows", toml(d.file.Rows), ": the list whose elements are rows")
	}
	if d.file.Type == "jsonl" {
		p("last_line", toml(d.file.LastLine), "")
	}
	if d.file.Type == "csv" {
		p("delimiter", toml(d.file.Delimiter), "")
		if d.file.Escape != "" {
			p("escape", toml(d.file.Escape), ": lines can be told apart only so")
		}
		if d.file.Quote != nil {
			p("quote", toml(*d.file.Quote), ": cells stand between two of them")
		}
		p("encoding", toml(d.file.Encoding), "")
		p("last_line", toml(d.file.LastLine), "")
	}
	if !l.Named() {
		p("header", headerLines(d.file), "")
	}
	p("decimal", toml(d.grammar.Decimal), ": by the cells that are numbers so")
	if d.grammar.Thousands != "" {
		p("thousands", toml(d.grammar.Thousands), ": by the cells that are numbers so")
	}
	if dates := d.dates(); dates != nil {
		p("dates", tomlOneOrList(dates), ": the usual ways in which the cells are days")
	}
	if d.shortYears() {
		p("century", fmt.Sprint(century), ": two-digit years are 1970 to 2069")
	}
	if language := d.months(); language != "" {
		p("months", toml(language), ": by the names of months")
	}
	if d.zone != "" {
		p("zone", toml(d.zone), ": nothing in the file says; it is the zone where the boilers are")
	}
	if len(d.file.Footer) > 0 {
		p("footer", tomlList(d.file.Footer), ": lines of two cells at most")
	}
	if m := d.markers(); len(m) > 0 {
		p("missing", "["+strings.Join(m, ", ")+"]", ": what stands where numbers are expected")
	}
}

// dates is how the first column of whole days writes them.
func (d *writer) dates() []string {
	for _, c := range d.columns {
		ways := c.ways()
		if days, err := newDaysIn(ways); c.field != "" && ways != nil && err == nil && days.Precision() == parse.ToDay {
			return ways
		}
	}
	return nil
}

// shortYears reports a way of writing days with years of two digits.
func (d *writer) shortYears() bool {
	return slices.ContainsFunc(d.columns, func(c draftColumn) bool {
		return c.field != "" && slices.ContainsFunc(c.ways(), parse.ShortYear)
	})
}

// usualMarkers commonly stand for a value that is not there; no source.
var usualMarkers = []string{"-", "--", "---", "n/a", "na", "n.a.", "none", "null", "nil", "?", "x", "not measured"}

func (d *writer) markers() []string {
	found := map[string]bool{}
	for _, c := range d.columns {
		f, _ := layout.FieldOf(d.record, c.field)
		if f.Kind != layout.Measured && f.Kind != layout.CO {
			continue
		}
		for _, cell := range c.cells {
			if slices.Contains(usualMarkers, parse.Fold(cell)) {
				found[toml(cell)] = true
			}
		}
	}
	return slices.Sorted(maps.Keys(found))
}

func (d *writer) writeColumn(c draftColumn) {
	p := func(format string, args ...any) { fmt.Fprintf(&d.b, format+"\n", args...) }
	why := oneLine(strings.Join(c.notes, "; "))
	p("\n[[column]]")
	p("%s", headed(d.file, c.header))
	switch {
	case c.carry != "":
		p("carry = %s # guess: %s", toml(c.carry), why)
		return
	case c.field == "":
		p("ignore = true # guess: %s", why)
		return
	}
	p("field = %s # guess: %s", toml(c.field), why)
	for _, k := range []struct{ key, value string }{{"unit", c.unit}, {"fire", string(c.fire)}, {"condition", string(c.condition)}} {
		if k.value != "" {
			p("%s = %s # guess", k.key, toml(k.value))
		}
	}
	writeUnits(&d.b, c)
	if ways := c.ways(); ways != nil && !slices.Equal(ways, d.dates()) {
		p("dates = %s # guess", tomlOneOrList(ways))
	}
	if len(c.missing) > 0 {
		p("missing = %s # guess: not known, and taken as missing so that the rest of the line counts", tomlList(c.missing))
	}
	d.writeBasis(c)
	d.writeCodes(c)
}

func (d *writer) writeBasis(c draftColumn) {
	p := func(format string, args ...any) { fmt.Fprintf(&d.b, format+"\n", args...) }
	f, _ := layout.FieldOf(d.record, c.field)
	switch {
	case f.Kind != layout.CO:
	case c.basis == "":
		p("basis = \"unknown\" # open: as measured, air-free or reference? unknown is judged as measured and marked")
	case c.reference != "":
		p("basis = \"reference\" # guess: by its header")
		p("reference_o2 = %s # guess", c.reference)
	default:
		p("basis = %s # guess", toml(c.basis))
	}
}

// writeCodes writes the meaning of each word of a code column, one for spellings
// that differ in letter case alone.
func (d *writer) writeCodes(c draftColumn) {
	var pairs []string
	done := map[string]bool{}
	for _, w := range slices.Sorted(maps.Keys(c.codes)) {
		if !done[parse.Fold(w)] {
			pairs = append(pairs, toml(w)+" = "+toml(c.codes[w]))
		}
		done[parse.Fold(w)] = true
	}
	if len(pairs) > 0 {
		fmt.Fprintf(&d.b, "codes = { %s } # guess\n", strings.Join(pairs, ", "))
	}
}

// writeNeeded names the fields that the record cannot do without.
func (d *writer) writeNeeded() {
	for _, f := range layout.Lacking(d.record, d.form(), d.has) {
		fmt.Fprintf(&d.b, "\n# open: the field %q is needed and no header looks like it: give a column above field = %q\n", f.Name, f.Name)
	}
}

// stem is a file's name without digits and endings.
func stem(base string) string {
	base, _, _ = strings.Cut(base, ".")
	return strings.TrimFunc(strings.Map(func(r rune) rune {
		if unicode.IsDigit(r) {
			return -1
		}
		return r
	}, base), func(r rune) bool { return r == '-' || r == '_' || r == ' ' })
}

// NamePattern is a name pattern in which runs of digits, and what joins them, may
// change.
func NamePattern(base string) string {
	var b strings.Builder
	digits := false
	for i, r := range base {
		joint := strings.ContainsRune("-_.", r) && digits && i+1 < len(base) && base[i+1] >= '0' && base[i+1] <= '9'
		switch {
		case unicode.IsDigit(r) || joint:
			if !digits {
				b.WriteByte('*')
			}
			digits = true
			continue
		case strings.ContainsRune(`*?[\`, r):
			b.WriteByte('\\')
		}
		digits = false
		b.WriteRune(r)
	}
	return b.String()
}

func tomlOneOrList(all []string) string {
	if len(all) == 1 {
		return toml(all[0])
	}
	return tomlList(all)
}

func tomlList(all []string) string {
	var quoted []string
	for _, s := range all {
		quoted = append(quoted, toml(s))
	}
	return "[" + strings.Join(quoted, ", ") + "]"
}

// toml writes a text as a TOML string.
func toml(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\t':
			b.WriteString(`\t`)
		case r < ' ' || r == 0x7f:
			fmt.Fprintf(&b, `\u%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// oneLine keeps a note a comment.
func oneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, s)
}
