package ingest

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime/debug"
	"slices"
	"time"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/mend"
	"fluedrift/ingest/parse"
	"fluedrift/ingest/reshape"
	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// Options says what to read.
type Options struct {
	Folder  string // exports; only ever read
	Layouts string // folder of *.toml layouts
	// AsOf bounds the days a record of the past may have where an export's own
	// day is not known: the day after it, for who writes past midnight. day.None:
	// no bound. The clock takes no part, so that the same files give the same list.
	AsOf    day.Day
	Targets []Target  // targets of the configuration
	Now     time.Time // the clock, for telling a file written a moment ago
	// Technician gives the pseudonym that stands for a technician code wherever
	// it is stored or shown; nil: the code itself. Raw lines are then not kept.
	Technician func(code string) string
	Limits     Config
	IDs        IDs           // which ids are one
	Propose    bool          // of an inspection: say of each column what a draft would take it for, too
	Settle     time.Duration // files written less than this before Now are looked at again after it
}

// Config keeps a folder that is not what it should be from taking the machine
// down. 0: none, but for bytes a file unpacks to and the text of a cell, which
// have one of their own. What is refused names the key of the limit.
type Config struct {
	Files         int   // entries of the folder: with more, nothing is read
	FileBytes     int64 // a larger file is refused
	UnpackedBytes int64 // a file that unpacks to more is refused
	CellBytes     int64 // a workbook with more text in one cell is refused
	Rows          int64 // a text or a workbook with more rows below its header is refused
	ParquetRows   int64 // a Parquet file with more rows is refused
}

// cellLimit is how many bytes of text a cell of a workbook may hold where the
// caller sets no limit: spreadsheets hold 32,767 characters.
const cellLimit = 1 << 20

// countRow refuses the nth row of a text or a workbook where it is one too many.
func (l Config) countRow(n int64) error {
	if l.Rows > 0 && n > l.Rows {
		return lines.Refuse(lines.TooLarge, "the file has more than %d rows\nsplit the export, or raise exports.max_rows", l.Rows)
	}
	return nil
}

// countParquet refuses a Parquet file of too many rows.
func (l Config) countParquet(rows int64) error {
	if l.ParquetRows > 0 && rows > l.ParquetRows {
		return lines.Refuse(lines.TooLarge, "the Parquet file has %d rows, more than %d\nsplit the export, or raise "+
			"exports.max_parquet_rows", rows, l.ParquetRows)
	}
	return nil
}

// cellBytes is the limit on the text of a cell.
func (l Config) cellBytes() int64 {
	if l.CellBytes <= 0 {
		return cellLimit
	}
	return l.CellBytes
}

// ErrTooMany: the exports folder holds more entries than allowed.
var ErrTooMany = errors.New("too many files")

// Target is a target of the configuration; it replaces exported ones of the
// same fuel, model line or serial, fire and day. NaN where not given.
type Target struct {
	ModelLine, Serial, Fuel string
	Fire                    judge.Fire
	From                    day.Day // day.None: always
	CO2Percent, O2Percent   float64
	SetRich, SetLean        float64 // points
	ActRich, ActLean        float64 // points
}

// File is what became of one file, and the count of its lines:
// Lines = Header + Blank + Skipped + SetAside + Parsed + Joined for a file that was read.
type File struct {
	Key                           int32
	Name                          string // path in the exports folder, with slashes
	Bytes                         int64
	Digest                        string // SHA-256, hexadecimal
	Layout, Record, Source, Form  string
	ExportDay                     day.Day
	Outcome, Reason, Message      string
	Lines, Header, Blank, Skipped int64
	SetAside, Parsed              int64
	Joined                        int64 // read into lines that were parsed
	Readings, Visits              int64
	CellsSetAside                 int64            // on lines that stand without them
	Reasons                       map[string]int64 // lines set aside by reason
	CellReasons                   map[string]int64 // the same of cells
	Left                          map[string]int64 // lines that steps left out, by reason; they are skipped
	Steps                         []string         // what a person should know of the steps
	Unmapped                      []string         // headers that no column declares
	Unread                        []Unread         // parts that no layout reads
	ToMend                        bool             // the program wrote it: lines to be corrected, under the header of their export
}

// Result is what became of all files, in order of their names.
type Result struct {
	Files []File
}

// Read finds the exports, reads every one that a layout fits, and loads rows
// into the schemas source and record. A file that cannot be read is refused
// and never stops the others. An error is returned where the folder or a
// layout cannot be read, the warehouse refuses rows, a file changes while it
// is read, or the lines of a file do not add up.
func Read(ctx context.Context, w *queries.Warehouse, o Options) (Result, error) {
	defer debug.FreeOSMemory() // what reading took must not stand beside what the engine takes to relate the rows
	return read(ctx, w, o)
}

func read(ctx context.Context, w sink, o Options) (Result, error) {
	layouts, err := layout.Load(o.Layouts)
	if err != nil {
		return Result{}, err
	}
	all, err := find(o.Folder, o.Layouts)
	if err != nil {
		return Result{}, err
	}
	if err := o.Limits.count(o.Folder, len(all)); err != nil {
		return Result{}, err
	}
	if err := settle(ctx, all, o.Now, o.Settle); err != nil {
		return Result{}, err
	}
	s := newStore(w)
	defer s.release()
	r := newRun(s, layouts, o)
	if all, err = tablesOf(ctx, r, all); err != nil {
		return Result{}, err
	}
	r.found, r.files = all, make([]File, 0, len(all))
	for i := range all {
		if err := ctx.Err(); err != nil {
			return Result{}, err
		}
		f := File{Key: int32(i + 1), Name: all[i].shown(), ExportDay: day.None}
		if err := r.one(ctx, all[i], &f); err != nil {
			return Result{}, fmt.Errorf("%s: %w", f.Name, err)
		}
		r.files = append(r.files, f)
		if err := s.files.add(ctx, &f); err != nil {
			return Result{}, err
		}
	}
	r.found = nil // a folder may hold very many
	if err := s.configured(ctx, o.Targets); err != nil {
		return Result{}, err
	}
	if err := s.flush(ctx); err != nil {
		return Result{}, err
	}
	return Result{Files: r.files}, nil
}

// settle waits once where a file was written a moment ago, so that the second
// look can tell a file that is still growing.
func settle(ctx context.Context, all []found, now time.Time, wait time.Duration) error {
	if wait <= 0 {
		return nil
	}
	for _, f := range all {
		if f.info == nil || now.Sub(f.info.ModTime()) > wait {
			continue
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(wait):
			return nil
		}
	}
	return nil
}

// count refuses a folder with too many entries.
func (l Config) count(folder string, entries int) error {
	if l.Files > 0 && entries > l.Files {
		return fmt.Errorf("%w: the exports folder %s holds %d entries, more than %d\npoint it at the exports alone, or raise "+
			"exports.max_files", ErrTooMany, folder, entries, l.Files)
	}
	return nil
}

// run is one reading of the folder.
type run struct {
	*store
	layouts []*layout.Layout
	bad     []layout.Bad // files among the layouts that are none; an inspection goes on without them
	options Options
	files   []File
	digests map[string]int // identity -> place in files of the first
	sizes   map[sizeOf]bool
	joining
	looker *looker // looks at a file while it is read; nil: nobody does
}

func newRun(s *store, layouts []*layout.Layout, o Options) *run {
	return &run{store: s, layouts: layouts, options: o, digests: map[string]int{}, sizes: map[sizeOf]bool{}, joining: joining{
		tables: reshape.Tables{}, faults: map[string]error{},
	}}
}

// one reads one entry of the folder. The error is one that ends the run; what
// is wrong with the file alone becomes its outcome.
func (r *run) one(ctx context.Context, f found, out *File) error {
	if f.skipped != "" {
		out.Outcome, out.Reason, out.Message = Skipped, f.reason, f.skipped
		return nil
	}
	out.Bytes, f.limits = f.bytes(), r.options.Limits
	if err := f.limits.countUnpacked(f); err != nil {
		return conclude(out, err)
	}
	if limit := f.limits.FileBytes; limit > 0 && out.Bytes > limit {
		return conclude(out, lines.Refuse(lines.TooLarge, "the file has %d bytes, more than %d\nsplit the export, or raise "+
			"exports.max_file_mb", out.Bytes, limit))
	}
	l, err := r.match(ctx, f, out)
	if l == nil || err != nil {
		return conclude(out, err)
	}
	out.Layout, out.Record, out.Source, out.Form = l.Name, l.Record, l.Source, l.Form
	if err := r.loadTables(ctx, r, l); err != nil {
		return conclude(out, err)
	}
	return conclude(out, r.read(ctx, f, l, out))
}

// conclude makes a fault of the file its outcome; other errors end the run.
func conclude(out *File, err error) error {
	fault, refused := errors.AsType[*lines.Refusal](err)
	if !refused {
		return err
	}
	out.Outcome, out.Reason, out.Message = Refused, fault.Reason, fault.Message
	if fault.Reason == lines.IncompleteFile {
		out.Outcome = Incomplete
	}
	return nil
}

// match finds the one layout for a file. Without one, the outcome is set and
// the layout nil.
func (r *run) match(ctx context.Context, f found, out *File) (*layout.Layout, error) {
	if f.only != nil {
		return f.only, nil
	}
	var fits []*layout.Layout
	var why error
	for _, l := range r.layouts {
		ok, err := fitsLayout(ctx, f, l)
		switch {
		case ok:
			fits = append(fits, l)
		case err != nil && len(l.Match.Names) > 0 && why == nil:
			why = err
			out.Layout = l.Name
		}
	}
	switch {
	case len(fits) == 1:
		return fits[0], nil
	case len(fits) > 1:
		var names []string
		for _, l := range fits {
			names = append(names, l.Name)
		}
		return nil, lines.Refuse(lines.TwoLayouts, "the layouts %s fit\ntell them apart by name patterns or columns", lines.Quoted(names))
	case why != nil:
		return nil, why
	}
	for _, b := range r.bad {
		if slices.ContainsFunc(b.Names, func(pattern string) bool { return mend.Fits(pattern, f.name) }) {
			return nil, lines.Refuse(badLayout, "the layout for files of this name is wrong: %v", b.Err)
		}
	}
	out.Outcome, out.Reason, out.Message = NotOurs, noLayout, "no layout matches this file name"
	return nil, nil
}

// fitsLayout asks whether a layout is for a file: its name fits a pattern, if
// the layout has any, and its header has the columns asked for. The error is
// why a file with a fitting name does not fit.
func fitsLayout(ctx context.Context, f found, l *layout.Layout) (bool, error) {
	named := len(l.Match.Names) == 0
	for _, pattern := range l.Match.Names {
		if mend.Fits(pattern, f.name) {
			named = true
		}
	}
	if !named || len(l.Match.Columns) == 0 && l.File.Table == 0 {
		return named, nil
	}
	rows, err := open(ctx, f, l, nil)
	if err != nil {
		return false, err
	}
	defer rows.Close()
	h, err := peekHead(rows, l)
	if err != nil {
		return false, err
	}
	have := map[string]bool{}
	for _, c := range h {
		have[parse.Fold(c)] = true
	}
	var missing []string
	for _, c := range l.Match.Columns {
		if !have[parse.Fold(c)] {
			missing = append(missing, c)
		}
	}
	if len(missing) > 0 {
		return false, lines.Refuse(lines.MissingColumn, "layout %q asks for the columns %s", l.Name, lines.Quoted(missing))
	}
	return true, nil
}

// sizeOf is by what files are told apart before their bytes are compared.
type sizeOf struct {
	layout string
	bytes  int64
}

// sameAsBefore reports a file with the bytes of an earlier one, without reading
// it: only where one of its size was read before under the layout are the bytes
// looked at. Where the day of the export stands in the file, reading shows it.
func (r *run) sameAsBefore(f found, l *layout.Layout, out *File) bool {
	if r.looker != nil || l.ExportDay.From == layout.FromColumn || !r.sizes[sizeOf{l.Name, out.Bytes}] {
		return false
	}
	digest := fileDigest(f)
	if _, known := r.digests[r.identity(l, out, digest)]; !known || !f.unchanged() {
		return false
	}
	out.Digest = digest
	return r.repeats(l, out)
}

// identity is what two files of the same bytes have in common. A register of
// another day is read all the same: that nothing changed by that day is news.
func (r *run) identity(l *layout.Layout, out *File, digest string) string {
	key := l.Name + "\x00" + digest
	if l.Record == layout.Units {
		key += "\x00" + iso(out.ExportDay)
	}
	return key
}

// repeats reports a sound file with the bytes of an earlier one of the same
// layout, and notes it otherwise.
func (r *run) repeats(l *layout.Layout, out *File) bool {
	key := r.identity(l, out, out.Digest)
	first, ok := r.digests[key]
	if !ok {
		r.digests[key], r.sizes[sizeOf{l.Name, out.Bytes}] = len(r.files), true
		return false
	}
	out.Outcome, out.Message = SameBytes, fmt.Sprintf("the same bytes as %q", r.files[first].Name)
	return true
}

// exportDay finds the day of the export where it is known before the file is
// read.
func exportDay(l *layout.Layout, f found, out *File) error {
	switch l.ExportDay.From {
	case layout.FromDeclared:
		out.ExportDay = l.Day
	case layout.FromName:
		day, ok := l.Export.Find(f.base())
		if !ok {
			return lines.Refuse(lines.Contradicted, "the name holds no day written %s\nthe layout takes the day of the export from "+
				"it", l.ExportDay.Pattern)
		}
		out.ExportDay = day
	}
	return nil
}

// latest is the last day a record of the past may have in a file.
func (r *run) latest(out *File) day.Day {
	if dayKnown(out.ExportDay) {
		return out.ExportDay
	}
	if dayKnown(r.options.AsOf) {
		return r.options.AsOf + 1
	}
	return math.MaxInt32
}

// configured loads the targets of the configuration under the file key -1.
func (s *store) configured(ctx context.Context, targets []Target) error {
	fields := layout.Fields(layout.ModelLines)
	for i, t := range targets {
		row := recordRow{file: -1, line: int32(i + 1), digested: true, configuredSerial: t.Serial, base: make([]value, len(fields))}
		texts := map[string]string{"model_line": t.ModelLine, "fuel": t.Fuel, "fire": string(t.Fire)}
		numbers := map[string]float64{
			"target_co2": t.CO2Percent, "target_o2": t.O2Percent,
			"set_rich": t.SetRich, "set_lean": t.SetLean, "act_rich": t.ActRich, "act_lean": t.ActLean,
		}
		for j, f := range fields {
			v := &row.base[j]
			if text := texts[f.Name]; text != "" {
				*v = value{ok: true, text: text}
			}
			if n, ok := numbers[f.Name]; ok && !math.IsNaN(n) {
				*v = value{ok: true, num: n}
			}
			if f.Name == "valid_from" && dayKnown(t.From) {
				*v = value{ok: true, day: t.From, minute: -1}
			}
		}
		s.hasher.reset()
		s.hasher.text("configuration")
		s.hasher.text(t.Serial)
		s.hasher.values(fields, row.base, -1)
		row.content = s.hasher.sum()
		s.hasher.number(uint64(i))
		row.key = s.hasher.sum()
		if err := s.register[layout.ModelLines].add(ctx, &row); err != nil {
			return fmt.Errorf("targets of the configuration: %w", err)
		}
	}
	return nil
}
