package reshape

import (
	"errors"
	"io"
	"slices"
	"strings"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/lines"
	"fluedrift/ingest/parse"
)

// WrongFieldCount: a row has more or fewer cells than its header.
const WrongFieldCount = "wrong-field-count"

const controlChar = "control-char"

// Reshaped are the rows of a file after the steps of its layout.
type Reshaped struct {
	src    lines.Rows
	layout *layout.Layout
	header []string // of the file, trimmed; nil before it
	moved  bool     // columns stand elsewhere after the steps
	names  []string // after the steps
	stages []stage
	push   pushes // into the first stage

	queue []*lines.Line // done, not given out yet
	out   lines.Line    // the row on its way
	ended bool
	last  lines.Line // the last line read; of it, how the file ends
}

// pushes takes a row on.
type pushes func(*lines.Line) error

// stage is a step at work on one file.
type stage interface {
	// begin is told the columns and gives those after the step.
	begin(names []string) ([]string, error)
	// row does its work on a row and hands on what comes of it. The row is valid
	// until it returns.
	row(r *lines.Line, next pushes) error
	// end hands on what is held.
	end(next pushes) error
	// notes are what a person should know at the end of the file.
	notes() []string
}

// Rows are the rows of a file after the steps of a layout; without steps they are
// what they were. The name of the file is the one that steps see.
// Rows of tables are joined where they are given; without them the columns of a join
// are blank.
func Rows(src lines.Rows, l *layout.Layout, name string, tables Tables) lines.Rows {
	if len(l.Steps) == 0 {
		return src
	}
	r := &Reshaped{src: src, layout: l}
	r.push = r.done
	for i := range l.Steps {
		r.stages = append(r.stages, newStage(&l.Steps[i], l, name, tables))
	}
	for _, s := range slices.Backward(r.stages) {
		_, pivots := s.(*pivot)
		r.moved = r.moved || pivots
		next := r.push
		r.push = r.through(s, next)
	}
	return r
}

// Notes are what a person should know of the steps at the end of a file.
func Notes(rows lines.Rows) (all []string) {
	r, ok := rows.(*Reshaped)
	if !ok {
		return nil
	}
	for _, s := range r.stages {
		all = append(all, s.notes()...)
	}
	return all
}

// SetWidth is told the cells of the reshaped header; the file's own are known.
func (r *Reshaped) SetWidth(int) {}

// Close closes the file.
func (r *Reshaped) Close() error { return r.src.Close() }

// Next gives the next row.
func (r *Reshaped) Next() (*lines.Line, error) {
	for {
		if len(r.queue) > 0 {
			ln := r.queue[0]
			r.queue = r.queue[1:]
			return ln, nil
		}
		if r.ended {
			return nil, io.EOF
		}
		ln, err := r.src.Next()
		switch {
		case errors.Is(err, io.EOF):
			r.ended = true
			err = r.end(0)
		case err == nil:
			err = r.take(ln)
		}
		if err != nil {
			return nil, err
		}
	}
}

// end lets stages hand on what they hold, the first first.
func (r *Reshaped) end(from int) error {
	if from == len(r.stages) || r.header == nil {
		return nil
	}
	next := r.done
	for _, s := range slices.Backward(r.stages[from+1:]) {
		next = r.through(s, next)
	}
	if err := r.stages[from].end(next); err != nil {
		return err
	}
	return r.end(from + 1)
}

// through takes a row through a stage. What is left out goes no further.
func (r *Reshaped) through(s stage, next pushes) pushes {
	return func(row *lines.Line) error {
		if row.Left != "" {
			return r.done(row)
		}
		return s.row(row, next)
	}
}

// done queues a row that all steps are through with. Those that come at the end of the
// file end as it does.
func (r *Reshaped) done(row *lines.Line) error {
	if r.ended {
		row.Ended, row.Cut = r.last.Ended, r.last.Cut
	}
	r.queue = append(r.queue, row)
	return nil
}

// take sorts a line of the file: what is a row goes through the steps.
func (r *Reshaped) take(ln *lines.Line) error {
	r.last.Ended, r.last.Cut = ln.Ended, ln.Cut
	ln.Wrong = nil // the file uses its line again: what was wrong with an earlier one is not with this
	switch {
	case ln.Top != lines.NoTop:
		for _, s := range r.stages {
			if held, ok := s.(interface{ forget() }); ok {
				held.forget()
			}
		}
		if ln.Top == lines.AboveHeader {
			r.above(ln)
		}
		return r.done(ln)
	case r.header == nil && ln.Number < r.layout.File.Header:
		r.above(ln)
		return r.done(ln)
	case r.header == nil && (ln.Fault != "" || lines.Blank(ln.Cells)):
		return r.done(ln)
	case r.header == nil:
		return r.begin(ln)
	case lines.Blank(ln.Cells) && ln.Fault == "" || ln.Left != "" || r.layout.Skips(ln.Number, ln.Text):
		return r.done(ln)
	case ln.Fault != "" || strings.IndexByte(ln.Text, 0) >= 0:
		return r.bad(ln, nil)
	case r.repeated(ln.Cells):
		r.own(ln, r.names)
		return r.done(&r.out)
	}
	if r.heading(ln.Cells) {
		r.own(ln, ln.Cells)
		r.out.Left = headingRow
		return r.done(&r.out)
	}
	if len(ln.Cells) != len(r.header) {
		return r.bad(ln, &lines.Fault{Reason: WrongFieldCount, Message: wrongWidth(len(ln.Cells), len(r.header))})
	}
	r.own(ln, ln.Cells)
	return r.push(&r.out)
}

// above tells stages of a line above the header of the file or of a further sheet.
func (r *Reshaped) above(ln *lines.Line) {
	for _, s := range r.stages {
		if f, ok := s.(*fromName); ok {
			f.above(ln)
		}
	}
}

// heading reports a row that heads those below, whatever its width.
func (r *Reshaped) heading(cells []string) bool {
	for _, s := range r.stages {
		if h, ok := s.(*headingRows); ok && h.heading(cells) {
			return true
		}
	}
	return false
}

// begin reads the header.
func (r *Reshaped) begin(ln *lines.Line) error {
	for _, c := range ln.Cells {
		r.header = append(r.header, strings.Clone(parse.Trim(c)))
	}
	for r.layout.Padded() && r.header[len(r.header)-1] == "" {
		r.header = r.header[:len(r.header)-1]
	}
	r.src.SetWidth(len(r.header))
	names := slices.Clone(r.header)
	for _, s := range r.stages {
		var err error
		if names, err = s.begin(names); err != nil {
			return err
		}
	}
	r.names = names
	r.own(ln, names)
	return r.done(&r.out)
}

// own makes the row on its way a copy of a line, with such cells.
func (r *Reshaped) own(ln *lines.Line, cells []string) {
	stored := ln.Stored
	own, kinds := r.out.Cells[:0], r.out.Stored[:0]
	r.out = *ln
	r.out.Cells, r.out.Stored = append(own, cells...), nil
	if stored != nil && len(stored) == len(cells) {
		r.out.Stored = append(kinds, stored...)
	}
}

// bad hands on a line that is no row. Where columns stand elsewhere after the steps
// its cells would be taken for others.
func (r *Reshaped) bad(ln *lines.Line, why *lines.Fault) error {
	cells := ln.Cells
	if r.moved {
		if ln.Fault == "" && why == nil {
			why = &lines.Fault{Reason: controlChar, Message: "the line holds a byte 0"}
		}
		cells = nil
	}
	r.own(ln, cells)
	r.out.Wrong = why
	return r.done(&r.out)
}

// repeated reports a line that repeats the header of the file.
func (r *Reshaped) repeated(cells []string) bool {
	return slices.EqualFunc(cells, r.header, func(c, h string) bool { return strings.EqualFold(parse.Trim(c), h) })
}
