package ingest

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"fluedrift/ingest/ids"
	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/mend"
	"fluedrift/ingest/parse"
	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/model/quantity"
)

// value is one typed cell in the stored unit.
type value struct {
	ok       bool // there is a value
	num      float64
	text     string
	day      day.Day
	whole    int32
	minute   int16
	decimals int8
	limit    string
}

// cellFault is why a line is set aside.
type cellFault struct {
	column, value, reason, message string
}

// rowReader turns the cells of one line into values.
type rowReader struct {
	layout   *layout.Layout
	head     *head
	latest   day.Day             // last day a record of the past may have
	furthest day.Day             // latest day that such a record has
	alias    func(string) string // what stands for a technician code; nil: the code itself
	toMend   bool                // the program wrote the file, with the apostrophes of mend.Guarded

	base     []value   // by field: visit and record fields
	groups   [][]value // by group, by field: reading fields; one group in the long form
	own      []bool    // wide: the group has a value of its own
	bare     bool      // long: a visit without any value, no reading
	carry    map[string]string
	adjusted map[judge.Fire]string // wide: yes or no by fire
	marks    []string
	gmarks   [][]string
	spoilt   spoilt         // cells of the line that cannot be read, and what they cost
	fixed    []value        // constants, by bound column
	of       []layout.Group // wide: fire and condition of each group
	half     string         // wide: "fire" or "condition", where a column of the row says it
	co       []*bound       // CO column of each group, nil if none
	ids      []int          // fields of base that are identifiers

	bases        []string         // by group: the basis of CO that the line tells; "" for the layout's
	basesUnknown map[string]int64 // texts that should have told one
	named        naming
}

func newRowReader(l *layout.Layout, h *head, latest day.Day, named IDs) (*rowReader, error) {
	n, of := 1, []layout.Group(nil)
	if l.Form == layout.Wide {
		of = l.Groups()
		n = len(of)
	}
	fields := len(layout.Fields(l.Record))
	r := &rowReader{
		layout: l, head: h, latest: latest, furthest: day.None, base: make([]value, fields), own: make([]bool, n),
		adjusted: map[judge.Fire]string{}, gmarks: make([][]string, n), of: of, co: make([]*bound, n), ids: idsOf(l.Record),
		half: l.Halved(), named: naming{IDs: named},
	}
	r.bases, r.basesUnknown = make([]string, n), map[string]int64{}
	r.spoilt = newSpoilt(n, len(h.bound))
	for range n {
		r.groups = append(r.groups, make([]value, fields))
	}
	r.fixed = make([]value, len(h.bound))
	for i, b := range h.bound {
		for g := range n {
			if b.Of.Kind == layout.CO && (of == nil || slices.Contains(b.into, g)) {
				r.co[g] = &h.bound[i]
			}
		}
		if b.index >= 0 || b.Value == "" {
			continue
		}
		v, f := r.cell(b, b.Value, lines.AsText)
		if f != nil {
			return nil, fmt.Errorf("%s: constant %q: %w", l.Path, b.Header, f)
		}
		r.fixed[i] = v
	}
	return r, nil
}

// read fills the values of a line, or says why the line is set aside.
func (r *rowReader) read(ln *lines.Line) *cellFault {
	r.clear()
	for i, b := range r.head.bound {
		if b.field < 0 {
			r.carried(b, ln)
			continue
		}
		v := r.fixed[i]
		if b.index >= 0 {
			var f *cellFault
			if v, f = r.column(b, ln); f != nil && (losses{r}).takesLine(b) {
				return f
			}
			r.spoilt.count(i, b, v, f)
			if f != nil {
				r.mark(b, markUnreadable)
				continue
			}
		}
		if r.withholds(b) && v.ok {
			v.text = r.alias(v.text)
		}
		v, how := r.named.resolve(b, v)
		if how != ids.AsWritten {
			r.mark(b, string(how))
		}
		r.put(b, v)
	}
	if f := r.spoilt.most(); f != nil {
		return f
	}
	if r.layout.Record == layout.Readings && r.named.giveAnalyzer(r.base) {
		r.marks = append(r.marks, "analyzer:technicians")
	}
	return r.check()
}

// withholds says whether the cells of a column must not be shown or stored as
// they are.
func (r *rowReader) withholds(b bound) bool { return r.alias != nil && b.Field == "technician" }

// withheld stands for text that is not shown.
const withheld = "(withheld)"

func (r *rowReader) clear() {
	clear(r.base)
	clear(r.adjusted)
	clear(r.bases)
	r.marks, r.named.respelt = r.marks[:0], r.named.respelt[:0]
	r.carry = nil
	r.spoilt.clear()
	for g := range r.groups {
		clear(r.groups[g])
		r.own[g] = false
		r.gmarks[g] = r.gmarks[g][:0]
	}
}

func (r *rowReader) carried(b bound, ln *lines.Line) {
	if b.index < 0 || b.missing(parse.Trim(ln.Cells[b.index])) {
		return
	}
	if r.carry == nil {
		r.carry = map[string]string{}
	}
	r.carry[b.Carry] = lines.AsWritten(ln.Cells[b.index], ln.StoredAs(b.index))
}

// column reads one cell: missing, a value, or a fault.
func (r *rowReader) column(b bound, ln *lines.Line) (value, *cellFault) {
	text := parse.Trim(ln.Cells[b.index])
	if b.missing(text) {
		if b.Of.Required && !r.ofReading(b) {
			return value{}, &cellFault{b.Header, text, blankRequired, "the cell is blank and the field is required"}
		}
		if b.Of.MarkMissing {
			r.mark(b, "missing")
		}
		return value{}, nil
	}
	in, f := unitOf{r}.bind(b, ln)
	v := value{}
	if f == nil {
		v, f = r.cell(in, text, ln.StoredAs(b.index))
	}
	if f == nil && b.BasisFrom != "" {
		f = basisOf{r}.tell(b, in, ln)
	}
	if f != nil {
		if r.withholds(b) {
			return v, &cellFault{b.Header, withheld, f.Reason, "the technician code cannot be read; it is not shown here"}
		}
		return v, &cellFault{b.Header, text, f.Reason, f.Message}
	}
	return v, nil
}

// cell reads a trimmed text that is no missing marker.
func (r *rowReader) cell(b bound, text string, as lines.Stored) (v value, f *parse.Fault) {
	v.ok = true
	switch b.Of.Kind {
	case layout.Text:
		v.text, f = parse.Text(lines.AsWritten(text, as))
	case layout.ID:
		v.text, f = lines.Identifier(text, as)
	case layout.Code:
		v.text, f = parse.Code(text, b.Words)
	case layout.Clock:
		v.minute, f = parse.Time(text)
	case layout.Day:
		days := b.Days
		if as == lines.AsDay {
			days = parse.ISO
		}
		var p parse.Precision
		if v.day, v.minute, p, f = days.ParseTo(text); f == nil && p != parse.ToDay {
			r.mark(b, p.String())
			if p.First(v.day) <= r.latest { // the year or month of the export is not over
				v.day = min(v.day, r.latest)
			}
		}
		if f == nil && b.Of.Past {
			r.furthest = max(r.furthest, v.day)
		}
		if f == nil && b.Of.Past && v.day > r.latest {
			f = &parse.Fault{Reason: futureDate, Message: fmt.Sprintf("%q is after %s, the last day the export can "+
				"know", text, iso(r.latest))}
		}
	case layout.Whole:
		v.whole, f = r.numbers(&text, as).Whole(text)
		v.num = float64(v.whole)
		if f == nil {
			f = bounds(b, v.num, text)
		}
	default:
		v, f = r.measured(b, text, as)
	}
	return v, f
}

func (r *rowReader) measured(b bound, text string, as lines.Stored) (value, *parse.Fault) {
	if as == lines.AsPercent && b.Measure.Name != "%" && b.Measure.Name != "fraction" {
		return value{}, &parse.Fault{Reason: parse.UnitMark, Message: fmt.Sprintf("%q is shown in percent; the column is "+
			"declared in %q", text, b.Measure.Name)}
	}
	grammar := r.numbers(&text, as)
	n, f := parse.Number{}, (*parse.Fault)(nil)
	if b.Of.Kind == layout.CO {
		n, f = grammar.Limited(text, b.Measure)
	} else {
		n, f = grammar.Measure(text, b.Measure)
	}
	if f != nil {
		return value{}, f
	}
	v := value{ok: true, num: n.Value, decimals: n.Decimals, limit: n.Limit}
	if as == lines.AsPercent && b.Measure.Name == "%" {
		n.Value = lines.Tidy(100 * n.Value)
		n.Decimals = max(n.Decimals-2, 0)
		v.num, v.decimals = n.Value, n.Decimals
	}
	if (as == lines.AsNumber || as == lines.AsPercent) && n.Decimals == 0 {
		v.decimals = -1 // a workbook stores 5.0 as 5
	}
	if b.Measure.Name != b.Of.Canonical {
		v.num, _ = quantity.Convert(n.Value, b.Measure, b.Of.Unit())
	}
	if f := bounds(b, v.num, text); f != nil {
		return value{}, f
	}
	if b.Wet != nil {
		dry := dryShare(b.Wet, b.Field, v.num)
		if math.IsNaN(dry) {
			return value{}, &parse.Fault{Reason: outOfRange, Message: fmt.Sprintf("%q: wet flue gas of %s cannot hold so much %s",
				parse.Short(text), b.WetFuel, b.Field)}
		}
		v.num = dry
		r.mark(b, "from-wet")
	}
	if n.Limit != "" {
		r.mark(b, n.Limit+"-limit")
	}
	if n.Scientific && as != lines.AsNumber && as != lines.AsPercent {
		r.mark(b, "scientific-notation")
	}
	return v, nil
}

func bounds(b bound, v float64, text string) *parse.Fault {
	if err := b.Of.InBounds(v, b.Measure); err != nil {
		return &parse.Fault{Reason: outOfRange, Message: fmt.Sprintf("%q: %v", parse.Short(text), err)}
	}
	return nil
}

// numbers is the grammar of a cell. A number stored as one is
// written with a point and up to 17 digits, of which 15 are meant.
func (r *rowReader) numbers(text *string, as lines.Stored) parse.Numbers {
	switch as {
	case lines.AsText, lines.AsDay:
		return r.layout.Numbers
	case lines.AsDecimal:
		return parse.Numbers{Decimal: "."}
	}
	if v, err := strconv.ParseFloat(*text, 64); err == nil {
		*text = strconv.FormatFloat(lines.Tidy(v), 'f', -1, 64)
	}
	return parse.Numbers{Decimal: "."}
}

// put stores a value at its place: the record, the visit, or the readings of
// the groups the column belongs to.
func (r *rowReader) put(b bound, v value) {
	if !v.ok {
		return
	}
	if b.Of.Place != layout.OfReading {
		if b.Fire != "" { // adjusted at one fire
			r.putAdjusted(b, v)
			return
		}
		r.base[b.field] = v
		return
	}
	if r.layout.Form != layout.Wide {
		r.groups[0][b.field] = v
		r.own[0] = true
		return
	}
	for _, g := range b.into {
		shared := b.Fire != r.of[g].Fire || b.Condition != r.of[g].Condition
		if shared && r.groups[g][b.field].ok {
			continue // a column of the group itself says more
		}
		r.groups[g][b.field] = v
		r.own[g] = r.own[g] || !shared
	}
}

// putAdjusted keeps yes or no at one fire, for the visit and in the groups of
// that fire.
func (r *rowReader) putAdjusted(b bound, v value) {
	r.adjusted[b.Fire] = v.text
	for i, g := range r.of {
		if g.Fire == b.Fire {
			r.groups[i][b.field] = v
		}
	}
}

// mark notes something on the accepted row: NAME:what.
func (r *rowReader) mark(b bound, what string) {
	m := b.Field + ":" + what
	if r.layout.Form != layout.Wide || b.Of.Place != layout.OfReading {
		r.marks = append(r.marks, m)
		return
	}
	for _, g := range b.into {
		r.gmarks[g] = append(r.gmarks[g], m)
	}
}

// check holds a line to the rules that need more than one cell.
func (r *rowReader) check() *cellFault {
	if f := r.checkTotals(); f != nil {
		return f
	}
	switch r.layout.Record {
	case layout.Visits:
		return checkVisit(r)
	case layout.Readings:
		return r.checkReadings()
	}
	(losses{r}).computeError()
	if f := (losses{r}).checkPeriod(); f != nil {
		return f
	}
	return (losses{r}).checkTargets()
}

// checkReadings holds a line of readings to its rules.
func (r *rowReader) checkReadings() *cellFault {
	if f := checkVisitID(r); f != nil {
		return f
	}
	if f := (losses{r}).loseReadings(); f != nil {
		return f
	}
	if f := r.checkValues(); f != nil {
		return f
	}
	if f := r.makeKey(); f != nil {
		return f
	}
	if f := r.checkWet(); f != nil {
		return f
	}
	for g, own := range r.own {
		if own && !r.bare && (half{r}).at(g).Fire == judge.Point && !r.groups[g][fieldRate].ok {
			f := &cellFault{r.headerOf("rate", "fire"), "", blankRequired, "a reading at a point needs its rate"}
			if f = (losses{r}).loseTo(g, f, "rate"); f != nil {
				return f
			}
		}
	}
	return nil
}

// ofReading reports a column that only a reading needs: a visit without values
// has neither fire nor condition.
func (r *rowReader) ofReading(b bound) bool {
	return r.layout.Record == layout.Readings && b.Of.Place == layout.OfReading
}

// checkValues tells readings from visits without any value: somebody was there,
// and what was done is known, but nothing was measured, or nobody wrote it down.
// A reading needs fire and condition.
func (r *rowReader) checkValues() *cellFault {
	if r.layout.Form == layout.Wide {
		return half{r}.check()
	}
	r.bare = !r.measures(0)
	for _, field := range []int{fieldFire, fieldCondition} {
		if !r.bare && !r.groups[0][field].ok {
			name := layout.Fields(layout.Readings)[field].Name
			return &cellFault{r.headerOf(name), "", blankRequired, "the cell is blank, and a reading needs it"}
		}
	}
	return nil
}

// measures reports a measured value in a group.
func (r *rowReader) measures(g int) bool {
	return slices.ContainsFunc(measuredFields, func(field int) bool { return r.groups[g][field].ok })
}

// maps reports a column of the layout for a field.
func (r *rowReader) maps(field string) bool { return r.headerOf(field) != "" }

// headerOf is the header of the first column of the fields.
func (r *rowReader) headerOf(fields ...string) string {
	for _, name := range fields {
		for _, b := range r.head.bound {
			if b.Field == name && b.Value == "" {
				return b.Header
			}
		}
	}
	return ""
}

// serial reads the serial of a line that is set aside, if it can be read.
func (r *rowReader) serial(ln *lines.Line) string {
	for _, b := range r.head.bound {
		if b.Field != "serial" || b.index < 0 || b.index >= len(ln.Cells) {
			continue
		}
		s, f := lines.Identifier(parse.Trim(ln.Cells[b.index]), ln.StoredAs(b.index))
		if f == nil && len(s) <= 200 && !b.missing(s) && !parse.IsTotal(s) {
			s, _ = r.named.Serial.Resolve(s)
			return strings.Clone(s)
		}
	}
	return ""
}

// day reads the day of a line that is set aside, if it can be read and may be.
func (r *rowReader) day(ln *lines.Line) day.Day {
	for _, b := range r.head.bound {
		if b.Field != "day" || b.index < 0 || b.index >= len(ln.Cells) {
			continue
		}
		if v, f := r.cell(b, parse.Trim(ln.Cells[b.index]), ln.StoredAs(b.index)); f == nil {
			return v.day
		}
	}
	return day.None
}

// unguard takes the apostrophes of mend.Guarded away from a line of a file to
// mend. A workbook has none: its texts are typed.
func (r *rowReader) unguard(ln *lines.Line) {
	if !r.toMend {
		return
	}
	for i, c := range ln.Cells {
		ln.Cells[i] = mend.Unguarded(c)
	}
}
