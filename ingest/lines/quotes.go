package lines

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
)

// OpenQuote is the fault of a line in which a quote opens and does not close where
// a cell ends. The line stands alone, with its cells as they are without regard to
// quotes, and what follows it is read.
const OpenQuote = "a quote opens in it and does not close where a cell of a row of full width ends"

// fewOpen is how many lines may have an open quote whatever their share of a file.
// Of more, a file is refused where they are more than one line in openShare: then
// its quotes are not what the layout says.
const (
	fewOpen   = 5
	openShare = 20
)

// openQuotes counts the lines in which a quote opens and does not close.
type openQuotes struct {
	lines int
	first []int // their numbers, fewOpen at most
}

func (o *openQuotes) add(line int) {
	if o.lines++; len(o.first) < fewOpen {
		o.first = append(o.first, line)
	}
}

// atEnd is io.EOF, or why a file of so many lines is refused.
func (o *openQuotes) atEnd(lines int) error {
	if o.lines <= fewOpen || o.lines*openShare <= lines {
		return io.EOF
	}
	return Refuse(UnterminatedQuote, "a quote opens and does not close in %d of %d lines, the first %s\nis quote right in the layout? "+
		"quote = \"\" reads quote marks as any letter; escape names a mark that stands before a quote", o.lines, lines, o.places())
}

// places names the first lines.
func (o *openQuotes) places() string {
	return strings.ReplaceAll(strings.Trim(fmt.Sprint(o.first), "[]"), " ", ", ")
}

// OpenQuotes says in which lines a quote opens and does not close; "" where all do.
func (r *Reader) OpenQuotes() string {
	switch n := r.open.lines - len(r.open.first); {
	case r.open.lines == 0:
		return ""
	case r.open.lines == 1:
		return fmt.Sprintf("a quote opens and does not close in line %s: it is set aside, and reading goes on below it", r.open.places())
	case n > 0:
		return fmt.Sprintf("a quote opens and does not close in lines %s and %d more: they are set aside, and reading goes on below each",
			r.open.places(), n)
	}
	return fmt.Sprintf("a quote opens and does not close in lines %s: they are set aside, and reading goes on below each", r.open.places())
}

// lookahead are lines below one in which a quote opens: read to find where it
// closes, and given again where it does not. They lie in one text, so that a quoted
// cell of many short lines takes no more memory than its letters.
type lookahead struct {
	text       []byte // lines, each with a line feed behind it
	at         int    // start of the next line
	keep       bool   // lines that are read are added
	ended, cut bool   // of the last line
}

// begin keeps the lines from here on; the start is where they are given again from.
func (a *lookahead) begin() (start int) {
	if a.at > len(a.text)/2 {
		a.text = a.text[:copy(a.text, a.text[a.at:])]
		a.at = 0
	}
	a.keep = true
	return a.at
}

// physicalLine returns the next line of the text, those first that are given again.
func (r *Reader) physicalLine() (text []byte, ended bool, err error) {
	a := &r.ahead
	if a.at < len(a.text) {
		text = a.text[a.at:]
		text = text[:bytes.IndexByte(text, '\n')]
		a.at += len(text) + 1
		last := a.at == len(a.text)
		r.physical++
		r.cutRune = last && a.cut
		return text, !last || a.ended, nil
	}
	if text, ended, err = r.readPhysical(); err != nil {
		return nil, false, err
	}
	if !a.keep {
		a.text, a.at = a.text[:0], 0
		return text, ended, nil
	}
	a.text = append(append(a.text, text...), '\n')
	a.at, a.ended, a.cut = len(a.text), ended, r.cutRune
	return text, ended, nil
}

// quoted cuts a line with quotes, reading on while a quoted cell is open. Where that
// leaves no row, the line stands alone and those below it are given again.
func (r *Reader) quoted(l *Line) error {
	first, ended, cut := l.Text, l.Ended, l.Cut
	if !r.cut(l, first, false) {
		return nil
	}
	start := r.ahead.begin()
	whole, err := r.span(l, start)
	r.ahead.keep = false
	if whole || err != nil {
		return err
	}
	r.physical, r.ahead.at = l.Number, start
	r.open.add(l.Number)
	l.Text, l.Ended, l.Cut, l.Fault = first, ended, cut, OpenQuote
	l.Cells = splitPlain(l.Cells[:0], first, r.Delimiter)
	return nil
}

// span reads the lines of a quoted cell up to its end and cuts them. It is whole
// where it leaves a row.
func (r *Reader) span(l *Line, start int) (whole bool, err error) {
	rows := 0
	for open := true; open; {
		text, ended, err := r.physicalLine()
		if errors.Is(err, io.EOF) {
			return false, nil
		}
		if err != nil {
			return false, err
		}
		if r.isRow(text) {
			rows++
		}
		if r.ahead.at-start > r.maxBytes || rows >= r.manyRows() {
			return false, nil
		}
		l.Ended, l.Cut = ended, r.cutRune
		r.cell = append(r.cell, '\n')
		open = r.cut(l, string(text), true)
	}
	l.Text += "\n" + string(r.ahead.text[start:r.ahead.at-1])
	return r.sound(l), nil
}

// manyRows is how many lines of full width a quoted cell has swallowed for certain:
// in a table of few columns prose may have as many delimiters.
func (r *Reader) manyRows() int {
	if r.width >= 5 {
		return 1
	}
	return 16
}

// isRow reports a line that would be a row of full width by itself. In prose, most
// delimiters have a blank behind them.
func (r *Reader) isRow(text []byte) bool {
	if r.width < 2 || r.marked(text) || bytes.Count(text, []byte(r.Delimiter)) != r.width-1 {
		return false
	}
	return 2*bytes.Count(text, []byte(r.Delimiter+" ")) < r.width
}

// sound reports a row that a quoted cell over several lines leaves: it is as wide as
// the header, and not each of its lines by itself has the delimiters of a row, as
// where two stray quotes stand in two rows.
func (r *Reader) sound(l *Line) bool {
	switch {
	case l.Fault != "":
		return false
	case r.width == 0:
		return true
	case len(l.Cells) != r.width:
		return false
	}
	for text := range strings.SplitSeq(l.Text, "\n") {
		if strings.Count(text, r.Delimiter) != r.width-1 {
			return true
		}
	}
	return r.width < 3
}

// cut appends the cells of s to the line, from the start of a cell or from
// inside an open quote on. It reports whether the text ends inside a quote.
func (r *Reader) cut(l *Line, s string, inside bool) (open bool) {
	for {
		if !inside && (s == "" || s[0] != r.Quote) {
			cell, rest, more := strings.Cut(s, r.Delimiter)
			if strings.IndexByte(cell, r.Quote) >= 0 {
				l.Fault = "a quote stands inside a cell without quotes"
				return false
			}
			if r.Escape != 0 && len(cell) == 2 && cell[0] == r.Escape && cell[1] == nullMark {
				cell = ""
			}
			if r.Escape != 0 && strings.IndexByte(cell, r.Escape) >= 0 {
				l.Fault = "an escape stands inside a cell without quotes"
				return false
			}
			l.Cells = append(l.Cells, cell)
			if !more {
				return false
			}
			s = rest
			continue
		}
		if !inside {
			s, r.cell = s[1:], r.cell[:0]
		}
		rest, closed := r.toClose(l, s)
		if !closed {
			return true
		}
		l.Cells = append(l.Cells, string(r.cell))
		if rest == "" {
			return false
		}
		if !strings.HasPrefix(rest, r.Delimiter) {
			l.Fault = "text follows the closing quote of a cell"
			return false
		}
		s, inside = rest[len(r.Delimiter):], false
	}
}

// toClose is toQuote, or toEscaped where an escape is declared.
func (r *Reader) toClose(l *Line, s string) (rest string, closed bool) {
	if r.Escape == 0 {
		return r.toQuote(s)
	}
	return r.toEscaped(l, s)
}

// nullMark behind an escape is how dumps of databases write a cell that holds nothing.
const nullMark = 'N'

// toEscaped is toQuote with an escape before a quote. An escape before anything
// else is a fault of the line, which is read on up to its closing quote.
func (r *Reader) toEscaped(l *Line, s string) (rest string, closed bool) {
	for i := 0; i < len(s); i++ {
		switch {
		case s[i] == r.Quote:
			return s[i+1:], true
		case s[i] != r.Escape:
		case i+1 == len(s): // before the end of the line, which is in the cell
			return "", false
		case s[i+1] == r.Quote || s[i+1] == r.Escape:
			i++
		default:
			l.Fault = "an escape stands before what is neither a quote nor an escape"
		}
		r.cell = append(r.cell, s[i])
	}
	return "", false
}

// toQuote gathers the open cell up to its closing quote and returns what
// stands behind it; closed is false where the text ends first.
func (r *Reader) toQuote(s string) (rest string, closed bool) {
	for {
		i := strings.IndexByte(s, r.Quote)
		if i < 0 {
			r.cell = append(r.cell, s...)
			return "", false
		}
		r.cell = append(r.cell, s[:i]...)
		s = s[i+1:]
		if s == "" || s[0] != r.Quote {
			return s, true
		}
		r.cell = append(r.cell, r.Quote)
		s = s[1:]
	}
}
