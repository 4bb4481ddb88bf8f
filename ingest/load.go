package ingest

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"math"
	"os"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

// scan is what the first look at a whole file finds: whether its bytes can be
// trusted, before any row of it is stored.
type scan struct {
	digest string
	latest int32 // latest day of the export column, NoDay without one
}

// peekHead reads the header line alone.
func peekHead(r lines.Rows, l *layout.Layout) ([]string, error) {
	for {
		ln, err := r.Next()
		if errors.Is(err, io.EOF) {
			return nil, lines.Refuse(lines.NoHeader, "the header is declared in line %d and the file ends before it", l.File.Header)
		}
		if err != nil {
			return nil, err
		}
		if !ln.Ended && l.File.LastLine == "whole" {
			return nil, lines.Refuse(lines.IncompleteFile, "the header has no line end: the copy may not be finished")
		}
		if ln.Number >= l.File.Header {
			return append([]string(nil), ln.Cells...), nil
		}
	}
}

// lookOver reads a file from end to end without storing anything: encoding,
// quotes, the end of the last line, and whether its days contradict the
// declared order. It also makes the digest.
func lookOver(ctx context.Context, f found, l *layout.Layout) (*scan, error) {
	sum := sha256.New()
	r, err := open(ctx, f, l, sum)
	if err != nil {
		return digestOnly(f, err)
	}
	defer r.Close()
	s, err := scanRows(ctx, r, l, f.limits)
	if err != nil {
		return digestOnly(f, err)
	}
	if !f.unchanged() {
		return nil, lines.Refuse(lines.IncompleteFile, "the file changed while it was looked at; it is read next time")
	}
	s.digest = digestOf(sum)
	return s, nil
}

func digestOf(sum hash.Hash) string { return hex.EncodeToString(sum.Sum(nil)) }

// digestOnly makes the digest of a file that is refused.
func digestOnly(f found, fault error) (*scan, error) {
	file, err := os.Open(f.path)
	if err != nil {
		return nil, fault
	}
	defer file.Close()
	sum := sha256.New()
	if _, err := io.Copy(sum, file); err != nil {
		return nil, fault
	}
	return &scan{digest: digestOf(sum), latest: NoDay}, fault
}

// scanRows looks at every line of a file.
func scanRows(ctx context.Context, r lines.Rows, l *layout.Layout, limits Limits) (*scan, error) {
	h, err := readHead(r, l)
	if err != nil {
		return nil, err
	}
	if l.File.Type == "parquet" {
		limits.Rows = 0 // counted before they are read
	}
	s := &scan{latest: NoDay}
	order := newOrder(h)
	ended, cut := true, false
	for n := 0; ; n++ {
		if n%4096 == 0 && ctx.Err() != nil {
			return nil, ctx.Err()
		}
		ln, err := r.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, err
		}
		if err := limits.countRow(int64(n + 1)); err != nil {
			return nil, err
		}
		ended, cut = ln.Ended, ln.Cut
		if l.Skips(ln.Number, ln.Text) {
			continue
		}
		if ln.Fault == "" && h.other(ln.Cells) {
			return nil, lines.Refuse(lines.Contradicted, "line %d is a header of other columns, or of the same in another order: the rows below it would be misread\nexport the two parts one by one", ln.Number)
		}
		order.look(ln)
		if h.export >= 0 && h.export < len(ln.Cells) {
			days := l.Days
			if ln.StoredAs(h.export) == lines.AsDay {
				days = parse.ISO
			}
			if day, _, f := days.Parse(ln.Cells[h.export]); f == nil {
				s.latest = max(s.latest, day)
			}
		}
	}
	if cut {
		return nil, lines.Refuse(lines.IncompleteFile, "the file ends within a character: the copy is not finished")
	}
	if !ended && l.File.LastLine == "whole" {
		return nil, lines.Refuse(lines.IncompleteFile, "the last line has no line end: the copy may not be finished\ndeclare last_line = \"any\" if these files end so")
	}
	if t, ok := r.(*lines.Text); ok && t.HalfEnd() && l.File.LastLine == "whole" {
		return nil, lines.Refuse(lines.IncompleteFile, "the last line ends in half a line end: the copy may not be finished\ndeclare last_line = \"any\" if these files end so")
	}
	return s, order.verdict()
}

// openRows opens a file behind its header, with what reads its rows.
func (r *run) openRows(ctx context.Context, f found, l *layout.Layout, sum io.Writer, out *File) (lines.Rows, *head, *rowReader, error) {
	src, err := open(ctx, f, l, sum)
	if err != nil {
		return nil, nil, nil, err
	}
	h, err := readHead(src, l)
	if err != nil {
		src.Close()
		return nil, nil, nil, err
	}
	reader, err := newRowReader(l, h, r.latest(out))
	if err != nil {
		src.Close()
		return nil, nil, nil, err
	}
	reader.alias = r.options.Technician
	reader.toMend = !l.Workbook() && l.File.Type != "parquet" && h.toMend()
	return src, h, reader, nil
}

// load reads the rows of a file that the first look found sound and stores
// them.
func (r *run) load(ctx context.Context, f found, l *layout.Layout, out *File) error {
	sum := sha256.New()
	src, h, reader, err := r.openRows(ctx, f, l, sum, out)
	if err != nil {
		return err
	}
	defer src.Close()
	if err := r.storeColumns(ctx, h, out); err != nil {
		return err
	}
	e := newEmitter(r.store, reader, out)
	out.Outcome, out.Reasons, out.Unmapped, out.ToMend = WasRead, map[string]int64{}, h.spare, h.toMend()
	out.Lines, out.Header, out.Skipped = h.skipped+1, 1, h.skipped
	if err := r.rows(ctx, src, e, out); err != nil {
		return err
	}
	if digestOf(sum) != out.Digest || !f.unchanged() {
		return fmt.Errorf("the file changed while it was read\nrun again when it is complete")
	}
	if total := out.Header + out.Blank + out.Skipped + out.SetAside + out.Parsed; total != out.Lines {
		return fmt.Errorf("%d lines, but header, blank, skipped, set aside and parsed are %d: a fault of the program", out.Lines, total)
	}
	out.Unread = unread(src, h, l)
	out.Message = join(out.Message, remarks(out))
	return nil
}

// latest is the last day a record of the past may have in a file.
func (r *run) latest(out *File) int32 {
	if dayKnown(out.ExportDay) {
		return out.ExportDay
	}
	if dayKnown(r.options.AsOf) {
		return r.options.AsOf + 1
	}
	return math.MaxInt32
}

// rows sorts every line below the header into its one outcome.
func (r *run) rows(ctx context.Context, src lines.Rows, e *emitter, out *File) error {
	for n := 0; ; n++ {
		if n%4096 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		ln, err := src.Next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("the file changed while it was read: %w", err)
		}
		out.Lines++
		switch {
		case ln.Fault == "" && lines.Blank(ln.Cells):
			out.Blank++
			continue
		case e.layout.Skips(ln.Number, ln.Text):
			out.Skipped++
			continue
		case e.reader.head.repeated(ln.Cells):
			out.Header++
			continue
		}
		e.reader.head.countUnnamed(ln.Cells)
		if err := r.row(ctx, ln, e, out); err != nil {
			return err
		}
	}
}

// row stores a line as parsed or as set aside.
func (r *run) row(ctx context.Context, ln *lines.Line, e *emitter, out *File) error {
	fault := shape(ln, len(e.reader.head.cells))
	if fault == nil {
		e.reader.unguard(ln)
		fault = e.reader.read(ln)
	}
	var err error
	if fault == nil {
		if fault, err = e.emit(ctx, ln.Number); err != nil {
			return err
		}
	}
	if fault == nil {
		out.Parsed++
		return nil
	}
	if (fault.reason == wrongFieldCount || fault.reason == blankRequired) && parse.Footer(ln.Cells) {
		fault.reason, fault.message = footerLine, "the line looks like a total below the rows, and the layout declares no such footer"
	}
	out.SetAside++
	out.Reasons[fault.reason]++
	raw := ln.Text
	if e.reader.alias != nil {
		raw = withheld // it may hold a technician code
	}
	row := &setAsideRow{file: out.Key, line: int32(ln.Number), fault: *fault, raw: raw, day: NoDay}
	if fault.reason == footerLine {
		return r.setAside.add(ctx, row)
	}
	row.serial, row.day = e.reader.serial(ln), e.reader.day(ln)
	if err := r.setAside.add(ctx, row); err != nil {
		return err
	}
	return r.keepCO(ctx, ln, e.reader, row)
}

// keepCO stores what can be read of the CO on a line that is set aside.
func (r *run) keepCO(ctx context.Context, ln *lines.Line, reader *rowReader, aside *setAsideRow) error {
	rows := reader.unusedCO(ln, aside.fault.reason)
	for i := range rows {
		rows[i].file = aside.file
		if err := r.unusedCO.add(ctx, &rows[i]); err != nil {
			return err
		}
	}
	return nil
}

// shape is what is wrong with a line before its cells are read.
func shape(ln *lines.Line, width int) *cellFault {
	switch {
	case ln.Fault != "":
		return &cellFault{"", "", wrongFieldCount, "the cells cannot be told apart: " + ln.Fault}
	case strings.IndexByte(ln.Text, 0) >= 0:
		return &cellFault{"", "", controlChar, "the line holds a byte 0"}
	case len(ln.Cells) != width:
		return &cellFault{"", "", wrongFieldCount, fmt.Sprintf("the line has %d cells and the header %d", len(ln.Cells), width)}
	}
	return nil
}

// repeated reports a line that repeats the header.
func (h *head) repeated(cells []string) bool {
	if len(cells) != len(h.cells) {
		return false
	}
	for i, c := range cells {
		if c != h.cells[i] && !strings.EqualFold(parse.Trim(c), h.cells[i]) {
			return false
		}
	}
	return true
}

// storeColumns loads what each column of a file means.
func (r *run) storeColumns(ctx context.Context, h *head, out *File) error {
	for i, header := range h.cells {
		row := columnRow{file: out.Key, header: header}
		for _, b := range h.bound {
			if b.index == i {
				row.field, row.fire, row.condition, row.unit, row.basis = b.Field, b.Fire, b.Condition, b.Unit, b.Basis
				if b.Wet != nil {
					row.basis = "wet"
				}
				if b.Carry != "" {
					row.field = "carry " + b.Carry
				}
			}
		}
		if err := r.columns.add(ctx, &row); err != nil {
			return err
		}
	}
	return nil
}

// remarks is what a person should know about a file that was read.
func remarks(out *File) string {
	var all []string
	if out.Parsed+out.SetAside == 0 {
		all = append(all, "a header and no rows")
	}
	if len(out.Unmapped) > 0 {
		all = append(all, "columns the layout does not declare: "+lines.Quoted(out.Unmapped))
	}
	for _, u := range out.Unread {
		all = append(all, fmt.Sprintf("not read: %s (%d lines)", u.What, u.Lines))
	}
	return strings.Join(all, "; ")
}

func join(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "; " + b
}
