package ingest

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"

	"fluedrift/ingest/draft"
	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// Inspection is what would become of one file, and why.
type Inspection struct {
	File
	Fits     []Fit     // every layout, and why it does not fit
	Columns  []Use     // what each column of the file means under its layout
	Examples []Example // lines set aside, by reason: the most frequent first
	// CellExamples are the same of cells on lines that stand without them.
	CellExamples []Example
	Samples      []Sample // the first rows as they will be stored
	Hints        []string // what a person should look at; nothing here is acted on
	Marked       []string // what a workbook hides, strikes out or has notes on, in words
	Draft        string   // a layout to edit, for a file that no layout fits
	// Proposed is what a draft would take the columns for, whether a layout fits or not;
	// nil where Options do not ask for it.
	Proposed []draft.Column `json:"-"`
}

// Fit is whether a layout fits a file.
type Fit struct {
	Layout string
	OK     bool
	Why    string // why not
}

// Use is what a column means.
type Use struct {
	Fire                       judge.Fire
	Condition                  judge.Condition
	Header, Field, Unit, Basis string
	Stored                     string // unit of the stored value
	Dates                      string // way of writing days
}

// Example is one reason for setting lines aside, with its first lines.
type Example struct {
	Reason string
	Count  int64
	First  []AsideLine // at most three
}

// AsideLine is a line that is set aside.
type AsideLine struct {
	Line                   int32
	Column, Value, Message string
}

// Sample is one row beside the cells it comes from.
type Sample struct {
	Line  int
	Cells []SampleCell
}

// SampleCell is a cell and what is stored for it; Stored is "" for a missing
// value.
type SampleCell struct{ Header, Cell, Field, Stored string }

// Inspect reads the exports as Read does and says of the chosen files what
// became of them. The rows go into w, a warehouse the caller throws away, or
// nowhere where w is nil. Without layouts every file gets a draft.
func Inspect(ctx context.Context, w *queries.Warehouse, o Options, chosen func(name string) bool) ([]Inspection, error) {
	all, err := find(o.Folder, o.Layouts)
	if err != nil {
		return nil, err
	}
	return inspect(ctx, w, o, all, chosen)
}

// InspectFile looks at one file that need not lie in the exports folder.
func InspectFile(ctx context.Context, o Options, path string) (Inspection, error) {
	info, err := os.Lstat(path)
	if err != nil {
		return Inspection{}, err
	}
	f := found{name: strings.ToValidUTF8(filepath.Base(path), "\uFFFD"), path: path}
	if info.IsDir() {
		return Inspection{}, fmt.Errorf("%q is a folder", path)
	}
	one, err := inspect(ctx, nil, o, []found{look(f, fs.FileInfoToDirEntry(info))}, func(string) bool { return true })
	if err != nil {
		return Inspection{}, err
	}
	return one[0], nil
}

func inspect(ctx context.Context, w *queries.Warehouse, o Options, all []found, chosen func(name string) bool) ([]Inspection, error) {
	layouts, bad, err := layout.LoadSound(o.Layouts)
	if err != nil {
		return nil, err
	}
	seen, cells := examples{}, examples{}
	s := newStore(&inspected{w, seen, cells})
	defer s.release()
	r := newRun(s, layouts, o)
	if all, err = tablesOf(ctx, r, all); err != nil {
		return nil, err
	}
	r.bad, r.found = bad, all
	var out []Inspection
	for i := range all {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		one := Inspection{File: File{Key: int32(i + 1), Name: all[i].shown(), ExportDay: day.None}}
		if w == nil && !chosen(all[i].name) {
			continue
		}
		r.looker = nil
		if chosen(all[i].name) {
			r.looker = &looker{one: &one}
		}
		if err := r.one(ctx, all[i], &one.File); err != nil {
			return nil, fmt.Errorf("%s: %w", one.Name, err)
		}
		r.files = append(r.files, one.File)
		if err := s.files.add(ctx, &one.File); err != nil {
			return nil, err
		}
		if !chosen(all[i].name) {
			continue
		}
		if err := r.look(ctx, all[i], &one); err != nil {
			return nil, fmt.Errorf("%s: %w", one.Name, err)
		}
		out = append(out, one)
	}
	if err := s.configured(ctx, o.Targets); err != nil {
		return nil, err
	}
	if err := s.flush(ctx); err != nil {
		return nil, err
	}
	for i := range out {
		out[i].Examples = seen.of(out[i].Key, out[i].Reasons)
		out[i].CellExamples = cells.of(out[i].Key, out[i].CellReasons)
	}
	return out, nil
}

// look fills what the outcome of a file does not say.
func (r *run) look(ctx context.Context, f found, one *Inspection) error {
	if f.skipped != "" {
		return nil
	}
	f.limits = r.options.Limits
	var fits []*layout.Layout
	for _, l := range r.layouts {
		if f.only != nil && l != f.only && l.File.Table > 0 {
			continue // it reads another table of the file, or none of this one
		}
		ok, err := fitsLayout(ctx, f, l)
		fit := Fit{Layout: l.Name, OK: ok}
		fault, refused := errors.AsType[*lines.Refusal](err)
		switch {
		case ok:
			fits = append(fits, l)
		case refused:
			fit.Why = fault.Message
		case err != nil:
			return err
		default:
			fit.Why = "the name fits none of its patterns " + lines.Quoted(l.Match.Names)
		}
		one.Fits = append(one.Fits, fit)
	}
	for _, b := range r.bad {
		one.Fits = append(one.Fits, Fit{Layout: filepath.Base(b.Path), Why: b.Err.Error()})
	}
	d := draft.Draft{}
	badHeader := one.Outcome == Refused && (one.Reason == lines.MissingColumn || one.Reason == lines.NoHeader)
	drafts := one.Reason != badLayout && (len(fits) != 1 || badHeader)
	if drafts || r.options.Propose {
		d = draft.Propose(draft.Look(unknown(ctx, f, 0)), draft.Known{})
	}
	if r.options.Propose {
		one.Proposed = d.Columns
	}
	if one.Reason == badLayout {
		return nil
	}
	if drafts {
		one.Draft, one.Hints, one.Marked = d.Text, d.Notes, marksOf(ctx, f)
		if r.options.Propose {
			return r.sampleDraft(ctx, f, d, one)
		}
		return nil
	}
	if r.looker.whole {
		one.Hints = r.looker.watch.hints(one.File)
	}
	return nil
}

// errSampled ends a pass that is made for its samples alone.
var errSampled = lines.Refuse("", "nothing is stored")

// sampleDraft shows the first rows of a file as a draft would store them, where it loads as
// it is written.
func (r *run) sampleDraft(ctx context.Context, f found, d draft.Draft, one *Inspection) error {
	l, err := layout.Parse(d.Name, d.Text)
	if err != nil || l.Record == layout.Table {
		return nil
	}
	tried, watching := Inspection{}, r.looker
	r.looker = &looker{one: &tried}
	defer func() { r.looker = watching }()
	out := File{Name: f.name, ExportDay: day.None}
	if _, err = r.pass(ctx, f, l, &out, math.MaxInt32, errSampled); err != nil {
		if _, refused := errors.AsType[*lines.Refusal](err); !refused {
			return err
		}
	}
	one.Samples = tried.Samples
	return nil
}

// inspected takes rows for an inspection: into a warehouse, or nowhere where there
// is none, and keeps examples of lines set aside.
type inspected struct {
	warehouse   *queries.Warehouse
	seen, cells examples // of lines, and of cells on lines that stand
}

// Load takes rows.
func (i *inspected) Load(ctx context.Context, table string, rec arrow.Record) error {
	switch table {
	case "source.set_aside":
		i.seen.add(rec)
	case "source.cells_set_aside":
		i.cells.add(rec)
	}
	if i.warehouse == nil {
		return nil
	}
	return i.warehouse.Load(ctx, table, rec)
}

// Discard takes back the rows of a file.
func (i *inspected) Discard(ctx context.Context, file int32) error {
	delete(i.seen, file)
	delete(i.cells, file)
	if i.warehouse == nil {
		return nil
	}
	return i.warehouse.Discard(ctx, file)
}

// looker looks at a file while it is read, for samples and hints.
type looker struct {
	one   *Inspection
	watch *watcher
	whole bool // the file was read to its end
}

func (k *looker) header(h *head, l *layout.Layout) {
	k.one.Columns, k.one.Samples = h.uses(l), nil
	k.whole = false
	k.watch = newWatcher(h, l)
}

// line looks at a line as wide as the header.
func (k *looker) line(ln *lines.Line, reader *rowReader) {
	k.watch.look(ln)
	if len(k.one.Samples) < 3 && reader.read(ln) == nil {
		k.one.Samples = append(k.one.Samples, sampler{reader}.sample(ln))
	}
}

// uses tells what each column of a file means.
func (h *head) uses(l *layout.Layout) []Use {
	var all []Use
	for i, header := range h.cells {
		u := Use{Header: header, Field: "not declared"}
		if slices.ContainsFunc(l.Spent(), func(s string) bool { return parse.Fold(s) == parse.Fold(header) }) {
			u.Field = "read by a step"
		}
		if slices.ContainsFunc(layout.TellingColumns(l), func(s string) bool { return parse.Fold(s) == parse.Fold(header) }) {
			u.Field = "unit of other columns"
		}
		for _, b := range h.bound {
			if b.index == i {
				u = useOf(b)
			}
		}
		if header != "" {
			all = append(all, u)
		}
	}
	for _, b := range h.bound {
		if b.index < 0 && b.Value != "" {
			u := useOf(b)
			u.Header = "constant " + fmt.Sprintf("%q", b.Value)
			all = append(all, u)
		}
	}
	return all
}

func useOf(b bound) Use {
	if b.Carry != "" {
		return Use{Header: b.Header, Field: "carried as " + b.Carry}
	}
	u := Use{
		Header: b.Header, Field: b.Field, Fire: b.Fire, Condition: b.Condition, Unit: layout.DeclaredUnit(b.Column), Basis: b.Basis,
		Stored: b.Of.Canonical,
	}
	if b.ReferenceO2 > 0 {
		u.Basis = fmt.Sprintf("%g %% O2", b.ReferenceO2)
	}
	if b.Wet != nil {
		u.Basis = "wet gas of " + b.WetFuel + ", stored dry"
	}
	if b.Of.Kind == layout.Day {
		u.Dates = b.Days.Pattern()
	}
	return u
}

// sampler shows what a row reader made of a line.
type sampler struct{ *rowReader }

// sample shows the values of the line just read beside its cells.
func (r sampler) sample(ln *lines.Line) Sample {
	s := Sample{Line: ln.Number}
	for i, b := range r.head.bound {
		c := SampleCell{Header: b.Header, Field: b.Field, Cell: b.Value}
		if b.index >= 0 {
			c.Cell = strings.Clone(parse.Short(ln.Cells[b.index]))
		}
		if r.withholds(b) {
			c.Cell = withheld
		}
		switch {
		case slices.ContainsFunc(r.spoilt.cells, func(c spoiltCell) bool { return c.bound == i }):
			c.Stored = "(cell set aside)"
		case b.field < 0:
			c.Field, c.Stored = "carried as "+b.Carry, c.Cell
		case b.index >= 0 || r.fixed[i].ok:
			c.Stored = show(b, r.placed(b))
		}
		s.Cells = append(s.Cells, c)
	}
	return s
}

// placed is the stored value of a column in the line just read.
func (r sampler) placed(b bound) value {
	switch {
	case b.Field == "adjusted" && b.Fire != "":
		text := r.adjusted[b.Fire]
		return value{ok: text != "", text: text}
	case b.Of.Place != layout.OfReading:
		return r.base[b.field]
	case r.layout.Form != layout.Wide:
		return r.groups[0][b.field]
	case len(b.into) > 0:
		return r.groups[b.into[0]][b.field]
	}
	return value{}
}

// show writes a stored value with its unit.
func show(b bound, v value) string {
	if !v.ok {
		return ""
	}
	switch b.Of.Kind {
	case layout.Day:
		if v.minute >= 0 {
			return fmt.Sprintf("%s %02d:%02d", iso(v.day), v.minute/60, v.minute%60)
		}
		return iso(v.day)
	case layout.Clock:
		return fmt.Sprintf("%02d:%02d", v.minute/60, v.minute%60)
	case layout.Whole:
		return fmt.Sprint(v.whole)
	case layout.Measured, layout.CO:
		number := strings.TrimSpace(fmt.Sprintf("%.6g %s", v.num, b.Of.Canonical))
		switch {
		case v.limit == parse.Above && v.num != v.num:
			return "over the range, no number"
		case v.limit != "":
			return v.limit + " " + number
		}
		return number
	}
	return v.text
}

// examples gathers the first lines of each reason by file.
type examples map[int32]map[string][]AsideLine

func (e examples) add(rec arrow.Record) {
	column := func(name string) arrow.Array { return rec.Column(rec.Schema().FieldIndices(name)[0]) }
	text := func(name string, i int) string {
		col := column(name).(*array.String)
		if col.IsNull(i) {
			return ""
		}
		return strings.Clone(col.Value(i))
	}
	files, numbers := column("file_key").(*array.Int32), column("line").(*array.Int32)
	for i := range int(rec.NumRows()) {
		key, reason := files.Value(i), text("reason", i)
		if e[key] == nil {
			e[key] = map[string][]AsideLine{}
		}
		if len(e[key][reason]) < 3 {
			e[key][reason] = append(e[key][reason], AsideLine{numbers.Value(i), text("column_name", i), parse.Short(text("value",
				i)), text("message", i)})
		}
	}
}

// of lists the reasons of a file, the most frequent first.
func (e examples) of(file int32, reasons map[string]int64) []Example {
	var all []Example
	for reason, n := range reasons {
		all = append(all, Example{reason, n, e[file][reason]})
	}
	slices.SortFunc(all, func(a, b Example) int {
		if a.Count != b.Count {
			return int(b.Count - a.Count)
		}
		return strings.Compare(a.Reason, b.Reason)
	})
	return all
}
