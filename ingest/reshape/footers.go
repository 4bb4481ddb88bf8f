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

// Footers are the texts of lines below the rows of a sheet that tell them something, by the
// names of the sheets: of each the first that a pattern of the step fits.
type Footers map[string]string

// tellsBelow reports a step that reads the footers of a file.
func tellsBelow(s *layout.Step) bool { return s.Do == layout.FromTitle && s.Of == layout.OfFooter }

// HasFooters reports a layout whose rows need what stands below them: its files are read
// to their end before their first row is.
func HasFooters(l *layout.Layout) bool {
	return slices.ContainsFunc(l.Steps, func(s layout.Step) bool { return tellsBelow(&s) })
}

// ReadFooters reads a file to its end, and tells its rows what its footers say.
func ReadFooters(from lines.Rows, l *layout.Layout, rows lines.Rows) error {
	r, ok := rows.(*Reshaped)
	if !ok {
		return nil
	}
	var stages []*fromName
	for _, s := range r.stages {
		if f, ok := s.(*fromName); ok && tellsBelow(f.step) {
			f.below = Footers{}
			stages = append(stages, f)
		}
	}
	header := false
	for {
		ln, err := from.Next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		switch {
		case ln.Top != lines.NoTop || !header && (ln.Number < l.File.Header || lines.Blank(ln.Cells)):
			continue
		case !header:
			header = true
			from.SetWidth(widthOf(ln, l))
			continue
		case !l.Skips(ln.Number, ln.Text):
			continue
		}
		for _, f := range stages {
			f.tellBelow(ln)
		}
	}
}

// widthOf is how many cells a header has.
func widthOf(ln *lines.Line, l *layout.Layout) int {
	n := len(ln.Cells)
	for l.Padded() && n > 0 && parse.Trim(ln.Cells[n-1]) == "" {
		n--
	}
	return n
}

// tellBelow keeps the first footer of a sheet that a pattern fits.
func (s *fromName) tellBelow(ln *lines.Line) {
	text := s.titleOf(ln)
	if _, known := s.below[ln.Sheet]; known || len(text) > 4096 {
		return
	}
	if p, _ := s.step.Patterned(text); p >= 0 {
		s.below[strings.Clone(ln.Sheet)] = strings.Clone(text)
	}
}
