package draft

import (
	"fmt"
	"slices"
	"sort"
	"strings"
	"unicode"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
)

// write writes the draft.
func (d *drafter) write(base string) {
	p := func(format string, args ...any) { fmt.Fprintf(&d.b, format+"\n", args...) }
	name := strings.TrimSpace(strings.ReplaceAll(strings.Trim(stem(base), "-_. "), "_", " "))
	if name == "" {
		name = "new export"
	}
	p("# A draft made from %s. Everything marked \"guess\" is one: check it, then", toml(base))
	p("# put the file among the layouts. Nothing is read by it until then.")
	for _, n := range d.notes {
		p("# open: %s", oneLine(n))
	}
	p("name   = %s", toml(name))
	p("record = %s # guess: by the headers", toml(d.record))
	if d.record == layout.Readings {
		form := layout.Long
		if d.wide {
			form = layout.Wide
		}
		p("form   = %s # guess: by the headers", toml(form))
	}
	p("source = %s # guess: the group of exports whose visit ids belong together", toml(name))
	p("\n[match]")
	p("names = [%s] # guess: digits of the name are taken to change", toml(patternOf(base)))
	d.writeExportDay(base)
	d.writeFile()
	for _, c := range d.columns {
		d.writeColumn(c)
	}
	d.writeNeeded()
}

func (d *drafter) writeExportDay(base string) {
	for _, pattern := range []string{"yyyy-mm-dd", "yyyymmdd", "dd-mm-yyyy", "dd.mm.yyyy"} {
		days, _ := parse.NewDays(pattern, 0)
		if _, ok := days.Find(base); ok {
			fmt.Fprintf(&d.b, "\n[export_day]\nfrom = \"name\" # guess\npattern = %s # guess\n", toml(pattern))
			return
		}
	}
	fmt.Fprintf(&d.b, "\n[export_day]\nfrom = \"unknown\" # guess: the name holds no day; declare it if another source tells\n")
}

func (d *drafter) writeFile() {
	p := func(key, value, why string) { fmt.Fprintf(&d.b, "%s = %s # guess%s\n", key, value, why) }
	d.b.WriteString("\n[file]\n")
	p("type", toml(d.file.Type), "")
	if d.file.Type == "csv" {
		p("delimiter", toml(d.file.Delimiter), "")
		if d.file.Escape != "" {
			p("escape", toml(d.file.Escape), ": lines can be told apart only so")
		}
		p("encoding", toml(d.file.Encoding), "")
		p("last_line", toml(d.file.LastLine), "")
	}
	if d.file.Type != "parquet" {
		p("header", fmt.Sprint(d.file.Header), "")
	}
	p("decimal", toml(d.grammar.Decimal), ": by the cells that are numbers so")
	if d.grammar.Thousands != "" {
		p("thousands", toml(d.grammar.Thousands), ": by the cells that are numbers so")
	}
	if d.dates != "" {
		p("dates", toml(d.dates), ": the first usual way in which the cells are days")
	}
	if m := d.markers(); len(m) > 0 {
		p("missing", "["+strings.Join(m, ", ")+"]", ": what stands where numbers are expected")
	}
}

// usualMarkers commonly stand for a value that is not there; no source.
var usualMarkers = []string{"-", "--", "---", "n/a", "na", "n.a.", "none", "null", "nil", "?", "x", "not measured"}

func (d *drafter) markers() []string {
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
	var all []string
	for m := range found {
		all = append(all, m)
	}
	sort.Strings(all)
	return all
}

func (d *drafter) writeColumn(c draftColumn) {
	p := func(format string, args ...any) { fmt.Fprintf(&d.b, format+"\n", args...) }
	p("\n[[column]]")
	p("header = %s", toml(c.header))
	if c.field == "" {
		p("ignore = true # guess: %s", oneLine(strings.Join(c.notes, "; ")))
		return
	}
	p("field = %s # guess: %s", toml(c.field), oneLine(strings.Join(c.notes, "; ")))
	if c.unit != "" {
		p("unit = %s # guess", toml(c.unit))
	}
	if c.fire != "" {
		p("fire = %s # guess", toml(string(c.fire)))
	}
	if c.condition != "" {
		p("condition = %s # guess", toml(string(c.condition)))
	}
	f, _ := layout.FieldOf(d.record, c.field)
	if f.Kind == layout.CO {
		if have := words(c.header); slices.Contains(have, "free") {
			p("basis = \"air-free\" # guess: by its header")
		} else {
			p("basis = \"unknown\" # open: as measured, air-free or reference? unknown is judged as measured and marked")
		}
	}
	if f.Kind == layout.Code {
		d.writeCodes(c, f)
	}
}

// writeCodes proposes a meaning for each word of a code column.
func (d *drafter) writeCodes(c draftColumn, f layout.Field) {
	seen := map[string]int{}
	for _, cell := range c.cells {
		if cell != "" {
			seen[cell]++
		}
	}
	var pairs, open []string
	done := map[string]bool{}
	names := make([]string, 0, len(seen))
	for w := range seen {
		names = append(names, w)
	}
	sort.Strings(names)
	for _, w := range names {
		ours := guessCode(f, w)
		switch {
		case done[parse.Fold(w)] || parse.Footer([]string{w}):
		case ours == "":
			open = append(open, toml(w))
		default:
			pairs = append(pairs, toml(w)+" = "+toml(ours))
		}
		done[parse.Fold(w)] = true
	}
	if len(pairs) > 0 {
		fmt.Fprintf(&d.b, "codes = { %s } # guess\n", strings.Join(pairs, ", "))
	}
	if len(open) > 0 {
		fmt.Fprintf(&d.b, "# open: what %s mean; our words are %s\n", strings.Join(open[:min(len(open), 8)], ", "), strings.Join(f.Words, ", "))
	}
}

// writeNeeded names the fields that the record cannot do without.
func (d *drafter) writeNeeded() {
	for _, f := range layout.Fields(d.record) {
		wide := d.wide && (f.Name == "fire" || f.Name == "condition")
		found := slices.ContainsFunc(d.columns, func(c draftColumn) bool { return c.field == f.Name })
		if f.Required && !wide && !found {
			fmt.Fprintf(&d.b, "\n# open: the field %q is needed and no header looks like it: give a column above field = %q\n", f.Name, f.Name)
		}
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

// patternOf is a name pattern in which runs of digits, and what joins them, may
// change.
func patternOf(base string) string {
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
