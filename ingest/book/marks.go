package book

import (
	"encoding/xml"
	"fmt"
	"strconv"
)

// StruckOut is why a row is left out of which every filled cell is struck out.
const StruckOut = "struck out"

// Marks are what somebody who looks at a workbook sees of its cells beside what they hold:
// what is hidden, struck out or has a note. All of it is read as if it were not so, but for
// rows that a layout leaves out.
type Marks struct {
	HiddenSheets []string
	HiddenRows   Found // that hold something
	Columns      Found // hidden ones that hold something
	StruckRows   Found // of which every filled cell is struck out
	StruckCells  Found // in other rows
	Notes        Found // cells with one

	hidden  [][2]int // columns of the sheet that is read now
	held    []bool   // by column of it: a cell is filled
	filled  int      // cells of its row
	struck  []int    // columns of its row that are struck out
	isBlind bool     // the row is hidden
}

// Found counts things of a workbook.
type Found struct {
	Count int64
	First string // where the first stands, such as B7, or sheet "2021": B7
}

func (f *Found) add(sheet string, several bool, at string) {
	if f.Count++; f.Count > 1 {
		return
	}
	if f.First = at; several {
		f.First = fmt.Sprintf("sheet %q: %s", sheet, at)
	}
}

// isOn reports an attribute that is set.
func isOn(value string) bool { return value == "1" || value == "true" }

// column is told of columns of a sheet before its rows.
func (m *Marks) column(e xml.StartElement) {
	first, err := strconv.Atoi(attribute(e, "min"))
	last, e2 := strconv.Atoi(attribute(e, "max"))
	if err == nil && e2 == nil && isOn(attribute(e, "hidden")) && len(m.hidden) < 1<<14 {
		m.hidden = append(m.hidden, [2]int{first, last})
	}
}

// begin is told that a row begins.
func (m *Marks) begin(row xml.StartElement) {
	m.filled, m.struck, m.isBlind = 0, m.struck[:0], isOn(attribute(row, "hidden"))
}

// cell is told of a filled cell.
func (m *Marks) cell(column int, struck bool) {
	m.filled++
	for len(m.held) <= column {
		m.held = append(m.held, false)
	}
	m.held[column] = true
	if struck {
		m.struck = append(m.struck, column)
	}
}

// allStruck reports a row of which every filled cell is struck out.
func (m *Marks) allStruck() bool { return m.filled > 0 && len(m.struck) == m.filled }

// end is told that the cells of a row were read.
func (m *Marks) end(sheet string, several bool, row int) {
	place := fmt.Sprintf("row %d", row)
	if m.isBlind && m.filled > 0 {
		m.HiddenRows.add(sheet, several, place)
	}
	switch {
	case m.allStruck():
		m.StruckRows.add(sheet, several, place)
	case len(m.struck) > 0:
		for _, c := range m.struck {
			m.StruckCells.add(sheet, several, cellName(c, row))
		}
	}
}

// sheet is told that the rows of a sheet were read.
func (m *Marks) sheet(p *parts, of bookSheet, several bool) {
	for _, h := range m.hidden {
		for c := max(h[0], 1); c <= min(h[1], len(m.held)); c++ {
			if m.held[c-1] {
				m.Columns.add(of.name, several, "column "+columnName(c-1))
			}
		}
	}
	m.hidden, m.held = m.hidden[:0], m.held[:0]
	m.notes(p, of, several)
}

// notes counts the cells of a sheet that have a note, as far as they can be read: nothing
// of them is stored. A newer one stands in two parts, of which the older form counts.
func (m *Marks) notes(p *parts, of bookSheet, several bool) {
	if !p.has(relsOf(of.part)) {
		return
	}
	links, err := p.related(of.part)
	if err != nil {
		return
	}
	for _, kind := range []string{"comments", "threadedComment"} {
		for _, l := range links {
			if l.kind == kind {
				m.notesIn(p, l.name, of.name, several)
				return
			}
		}
	}
}

func (m *Marks) notesIn(p *parts, part, sheet string, several bool) {
	r, err := p.open(part, stringLimit)
	if err != nil {
		return
	}
	defer r.Close()
	tokens := newTokens(r, partLimit)
	for {
		t, err := tokens.first()
		if err != nil {
			return
		}
		if e, ok := t.(xml.StartElement); ok && (e.Name.Local == "comment" || e.Name.Local == "threadedComment") {
			ref := attribute(e, "ref")
			m.Notes.add(sheet, several, ref[:min(12, len(ref))])
		}
	}
}

// columnName is the name of a column, counted from 0.
func columnName(column int) (name string) {
	for n := column + 1; n > 0; n = (n - 1) / 26 {
		name = string(rune('A'+(n-1)%26)) + name
	}
	return name
}

func cellName(column, row int) string { return columnName(column) + strconv.Itoa(row) }
