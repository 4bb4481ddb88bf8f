package ingest

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/mend"
	"fluedrift/ingest/parse"
	"fluedrift/ingest/reshape"
	"fluedrift/model/day"
)

// A pass reads a file once, from end to end. Rows are stored as they come; where
// the file proves to be one that must not be read (its encoding, its quotes, its
// end, days that contradict the declared order) they are taken back.
type pass struct {
	*run
	file   found
	layout *layout.Layout
	out    *File // what is counted
	head   *head
	reader *rowReader
	emit   *emitter        // nil: the lines are looked at and none is stored
	plain  lines.Rows      // the rows as they stand in the file, before any step
	mended *unguarded      // the same of a layout with steps; else nil
	table  *lines.OneTable // the same of one of several tables; else nil
	merged *lines.Merged   // the same of a workbook or a page; else nil
	rows   int64           // lines below the header
	order  *order
	single *oneUnit // nil: a column tells the boilers apart
	spelt  *spellings

	latest     day.Day // latest day of the column with the day of the export, day.None without one
	ended, cut bool    // of the last line
	refused    error   // why the file is refused, where the rest of it is still looked at
	broken     error   // a fault of the layout, which ends the run if the file is sound
}

// read reads a file under its layout. Where the day of the export stands in a
// column it shows only at the end whether a day of a line was still to come: then
// the file is read again.
func (r *run) read(ctx context.Context, f found, l *layout.Layout, out *File) error {
	noDay := exportDay(l, f, out)
	if noDay == nil && r.sameAsBefore(f, l, out) {
		return nil
	}
	last := r.latest(out)
	if l.ExportDay.From == layout.FromColumn {
		last = math.MaxInt32
	}
	for {
		p, err := r.pass(ctx, f, l, out, last, noDay)
		if err != nil {
			out.ExportDay = day.None
			return r.undone(ctx, out, err)
		}
		if l.ExportDay.From == layout.FromColumn {
			out.ExportDay = p.latest
			if known := r.latest(out); last != known && p.reader.furthest > known {
				last = known
				if err := r.undo(ctx, out.Key); err != nil {
					return err
				}
				continue
			}
		}
		if r.repeats(l, out) {
			return r.undo(ctx, out.Key)
		}
		p.out.ExportDay = out.ExportDay
		*out = *p.out
		return p.finish(ctx, out)
	}
}

// undone takes back the rows of a file that is refused. Other errors end the run.
func (r *run) undone(ctx context.Context, out *File, err error) error {
	if _, refused := errors.AsType[*lines.Refusal](err); !refused {
		return err
	}
	if failed := r.undo(ctx, out.Key); failed != nil {
		return failed
	}
	return err
}

// pass reads a file from end to end, to no later day than last. day.None is why the
// day of the export cannot be known: no row of the file is stored then, but what
// else is wrong with it goes before.
func (r *run) pass(ctx context.Context, f found, l *layout.Layout, out *File, last day.Day, noDay error) (*pass, error) {
	r.begin()
	counted := *out
	p := &pass{run: r, file: f, layout: l, out: &counted, latest: day.None, spelt: newSpellings()}
	sum := sha256.New()
	var err error
	if p.plain, err = open(ctx, f, l, sum); err != nil {
		out.Digest = fileDigest(f)
		return nil, err
	}
	defer p.plain.Close()
	if p.looker != nil {
		watch(p.plain)
	}
	src := p.reshaped()
	if err = p.readFooters(ctx, src); err == nil {
		err = p.begin(src, last, noDay == nil)
	}
	if err == nil {
		err = p.lines(ctx, src)
	}
	switch {
	case err != nil:
		out.Digest = fileDigest(f)
		return nil, err
	case !f.unchanged():
		return nil, lines.Refuse(lines.IncompleteFile, "the file changed while it was looked at; it is read next time")
	}
	out.Digest = hex.EncodeToString(sum.Sum(nil))
	counted.Digest = out.Digest
	if noDay != nil {
		return nil, noDay
	}
	return p, p.broken
}

// fileDigest is the SHA-256 of a file, "" where it cannot be read.
func fileDigest(f found) string {
	file, err := f.file().Open()
	if err != nil {
		return ""
	}
	defer file.Close()
	sum := sha256.New()
	if _, err := io.Copy(sum, file); err != nil {
		return ""
	}
	return hex.EncodeToString(sum.Sum(nil))
}

// begin reads up to the header and makes ready for the rows below it.
func (p *pass) begin(src lines.Rows, last day.Day, store bool) error {
	h, err := readHead(src, p.layout)
	if err != nil {
		return err
	}
	p.head, p.order, p.single = h, newOrder(h), newOneUnit(p.layout)
	p.out.Outcome, p.out.Reasons, p.out.Unmapped = WasRead, map[string]int64{}, h.spare
	p.out.ToMend = h.toMend() || p.mended != nil && p.mended.toMend
	p.out.CellReasons = map[string]int64{}
	p.out.Lines, p.out.Header, p.out.Skipped = h.skipped+h.lines, h.lines, h.skipped
	if p.looker != nil {
		p.looker.header(h, p.layout)
	}
	if p.layout.Record == layout.Table {
		p.out.Unmapped = nil // what of it is taken is said by those who join it
		return nil
	}
	if p.reader, p.broken = newRowReader(p.layout, h, last, p.options.IDs); p.broken != nil {
		return nil
	}
	p.reader.alias = p.options.Technician
	p.reader.toMend = len(p.layout.Steps) == 0 && p.layout.Text() && h.toMend()
	if store {
		p.emit = newEmitter(p.store, p.reader, p.out)
	}
	return nil
}

// lines reads every line below the header.
func (p *pass) lines(ctx context.Context, src lines.Rows) error {
	p.ended = true
	for n := 0; ; n++ {
		if n%4096 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		ln, err := src.Next()
		if errors.Is(err, io.EOF) {
			return p.end(src)
		}
		if err != nil {
			return err
		}
		if err := p.line(ctx, ln); err != nil {
			return err
		}
	}
}

// line sorts a line below the header, and those that were read into it, into its one
// outcome.
func (p *pass) line(ctx context.Context, ln *lines.Line) error {
	p.rows += ln.Counts()
	if err := p.countRow(p.rows); err != nil {
		return p.refuse(err)
	}
	p.out.Lines += ln.Counts()
	p.ended, p.cut = ln.Ended, ln.Cut
	switch ln.Top {
	case lines.AboveHeader:
		p.out.Skipped++
		return nil
	case lines.InHeader:
		p.out.Header++
		return nil
	}
	skipped := p.layout.Skips(ln.Number, ln.Text)
	if !skipped {
		if ln.Fault == "" && p.head.other(ln.Cells) {
			return p.refuse(lines.Refuse(lines.Contradicted, "line %d is a header of other columns, or of the same in another order: "+
				"the rows below it would be misread\nexport the two parts separately", ln.Number))
		}
		p.order.look(ln)
		p.findDay(ln)
	}
	switch {
	case ln.Fault == "" && ln.Wrong == nil && lines.Blank(ln.Cells):
		p.out.Blank++
		return nil
	case ln.Left != "" && p.into != nil:
		return p.tableRow(ctx, ln)
	case ln.Left != "":
		p.out.leave(ln)
		return nil
	case skipped:
		p.out.Skipped++
		return nil
	case p.head.repeated(ln.Cells):
		p.out.Header++
		return nil
	}
	p.head.countUnnamed(ln.Cells)
	return p.row(ctx, ln)
}

// countRow refuses a file with too many rows; those of a Parquet file are counted
// before they are read.
func (p *pass) countRow(n int64) error {
	if p.layout.File.Type == "parquet" {
		return nil
	}
	return p.file.limits.countRow(n)
}

// refuse refuses the file in the middle. Where somebody looks at it, the rest is
// looked at as well, unless it is beyond a limit.
func (p *pass) refuse(err error) error {
	fault, refused := errors.AsType[*lines.Refusal](err)
	if p.looker == nil || refused && fault.Reason == lines.TooLarge {
		return err
	}
	if p.refused == nil {
		p.refused, p.emit = err, nil
	}
	return nil
}

// findDay looks for the day of the export in its column.
func (p *pass) findDay(ln *lines.Line) {
	at := p.head.export
	if at < 0 || at >= len(ln.Cells) {
		return
	}
	days := p.layout.Days
	if ln.StoredAs(at) == lines.AsDay {
		days = parse.ISO
	}
	if day, _, f := days.Parse(ln.Cells[at]); f == nil {
		p.latest = max(p.latest, day)
	}
}

// end looks at the end of a file: is it whole, and do its days fit?
func (p *pass) end(src lines.Rows) error {
	if p.looker != nil {
		p.looker.whole, p.looker.one.Marked = true, marked(p.plain, p.layout)
	}
	whole := p.layout.File.LastLine == "whole"
	text, isText := p.plain.(*lines.Text)
	switch {
	case p.refused != nil:
		return p.refused
	case p.cut:
		return lines.Refuse(lines.IncompleteFile, "the file ends within a character: the copy is not finished")
	case whole && !p.ended:
		return lines.Refuse(lines.IncompleteFile, "the last line has no line end: the copy may not be finished\ndeclare "+
			"last_line = \"any\" if these files end so")
	case whole && isText && text.HalfEnd():
		return lines.Refuse(lines.IncompleteFile, "the last line ends in half a line end: the copy may not be finished\ndeclare "+
			"last_line = \"any\" if these files end so")
	}
	if err := p.order.verdict(); err != nil {
		return err
	}
	p.out.Unread = unread(p.plain, p.head, p.layout)
	p.out.Steps = slices.Concat(sheetsRead(p.plain), otherTables(p.table), mergedCells(p.plain, p.merged), reshape.Notes(src))
	if isText {
		p.out.Message = join(p.out.Message, text.OpenQuotes())
	}
	return nil
}

// row stores a line as parsed or as set aside.
func (p *pass) row(ctx context.Context, ln *lines.Line) error {
	if p.layout.Record == layout.Table {
		return p.tableRow(ctx, ln)
	}
	fault := shape(ln, len(p.head.cells))
	if fault == nil && p.reader != nil {
		p.reader.unguard(ln)
		if p.looker != nil {
			p.looker.line(ln, p.reader)
		}
	}
	if p.emit == nil {
		return nil
	}
	if fault == nil {
		fault = p.reader.read(ln)
	}
	if fault == nil && ln.Doubt != "" {
		p.reader.marks = append(p.reader.marks, ln.Doubt)
	}
	if fault == nil && p.single != nil {
		if err := p.single.look(ln.Number, p.reader); err != nil {
			return p.refuse(err)
		}
	}
	var err error
	if fault == nil {
		if err = p.spelt.look(ln.Number, p.reader); err != nil {
			return err
		}
		if fault, err = p.emit.emit(ctx, ln.Number); err != nil {
			return err
		}
	}
	if fault == nil {
		p.out.Parsed++
		p.out.Joined += int64(len(ln.Joined))
		return errors.Join(p.noteReturned(ctx, ln), p.setAsideCells(ctx, ln))
	}
	return p.setAsideLine(ctx, ln, fault)
}

// noteReturned stores which line a line of a file to mend was copied from.
func (p *pass) noteReturned(ctx context.Context, ln *lines.Line) error {
	if p.head.words < 0 {
		return nil
	}
	of, ok := mend.OriginOf(ln.Cells[p.head.words])
	if !ok {
		return nil
	}
	return p.returned.add(ctx, &returnedRow{p.out.Key, int32(ln.Number), of})
}

// setAsideLine stores a line that cannot be read, with what can be told of it.
func (p *pass) setAsideLine(ctx context.Context, ln *lines.Line, fault *cellFault) error {
	if (fault.reason == wrongFieldCount || fault.reason == blankRequired) && parse.Footer(ln.Cells) {
		fault.reason, fault.message = footerLine, "the line looks like a total below the rows, and the layout declares no such footer"
	}
	fault.at(p.layout)
	fault.in(p.layout, ln)
	p.out.SetAside += ln.Counts()
	p.out.Reasons[fault.reason] += ln.Counts()
	raw := ln.Text
	if p.reader.alias != nil {
		raw = withheld // it may hold a technician code
	}
	row := &setAsideRow{file: p.out.Key, line: int32(ln.Number), fault: *fault, raw: raw, day: day.None}
	if fault.reason == footerLine {
		return p.setAside.add(ctx, row)
	}
	row.serial, row.day = p.reader.serial(ln), p.reader.day(ln)
	if err := p.setAside.add(ctx, row); err != nil {
		return err
	}
	if err := p.setAsideParts(ctx, ln, row); err != nil {
		return err
	}
	return p.keepCO(ctx, ln, row)
}

// setAsideParts stores the lines that were read into one that cannot be read: who
// corrects it needs all of them.
func (p *pass) setAsideParts(ctx context.Context, ln *lines.Line, first *setAsideRow) error {
	for _, part := range ln.Joined {
		row := *first
		row.line, row.raw = int32(part.Number), part.Text
		if p.reader.alias != nil {
			row.raw = withheld
		}
		if err := p.setAside.add(ctx, &row); err != nil {
			return err
		}
	}
	return nil
}

// keepCO stores what can be read of the CO on a line that is set aside.
func (p *pass) keepCO(ctx context.Context, ln *lines.Line, aside *setAsideRow) error {
	rows := salvage{p.reader}.unusedCO(ln, func(*bound) (string, bool) { return aside.fault.reason, true })
	for i := range rows {
		rows[i].file = aside.file
		if err := p.unusedCO.add(ctx, &rows[i]); err != nil {
			return err
		}
	}
	return nil
}

// finish checks the counts of a file that was read and stores what its columns
// mean.
func (p *pass) finish(ctx context.Context, out *File) error {
	if total := out.Header + out.Blank + out.Skipped + out.SetAside + out.Parsed + out.Joined; total != out.Lines {
		return fmt.Errorf("%d lines, but header, blank, skipped, set aside, parsed and joined are %d: a fault of the program", out.Lines, total)
	}
	out.Message = join(out.Message, strings.Join(append(remarks(out), append(p.spelt.remarks(), basisOf{p.reader}.remarks()...)...), "; "))
	if p.reader == nil {
		return nil
	}
	return p.storeColumns(ctx, p.head, p.reader, out)
}

// shape is what is wrong with a line before its cells are read.
func shape(ln *lines.Line, width int) *cellFault {
	switch {
	case ln.Wrong != nil:
		return &cellFault{ln.Wrong.Column, ln.Wrong.Value, ln.Wrong.Reason, ln.Wrong.Message}
	case ln.Fault == lines.OpenQuote:
		return &cellFault{"", "", lines.UnterminatedQuote, ln.Fault}
	case ln.Fault != "":
		return &cellFault{"", "", wrongFieldCount, "the cells cannot be told apart: " + ln.Fault}
	case strings.IndexByte(ln.Text, 0) >= 0:
		return &cellFault{"", "", controlChar, "the line holds a byte 0"}
	case len(ln.Cells) != width:
		return &cellFault{"", "", wrongFieldCount, fmt.Sprintf("the line has %d cells and the header %d", len(ln.Cells), width)}
	}
	return nil
}
