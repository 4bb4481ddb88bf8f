package mend

import (
	"bytes"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"

	"fluedrift/ingest/book"
	"fluedrift/ingest/layout"
)

// addBook copies the rows to be fixed into the workbook of that name and header:
// the rows to the header as they stand, then those to fix, numbers as numbers in
// the forms they are shown in, and a column with what is wrong. No text of it is
// a formula.
func (m *maker) addBook(s *source, from *book.Excerpt) error {
	header := s.Layout.File.Header
	if header > from.Last {
		return nil
	}
	heads := texts(from.Rows[header])
	one, err := m.openBook(s.name, from, heads)
	if err != nil {
		return err
	}
	one.wrote = writer(&layout.Layout{}, s.packed)
	c := one.book
	if c.last == 0 {
		if err := c.begin(from, header, heads); err != nil {
			return err
		}
	}
	for _, number := range slices.Sorted(maps.Keys(s.faults)) {
		if number <= header || number > from.Last {
			continue
		}
		for c.last++; slices.Contains(s.Layout.File.SkipLines, c.last); c.last++ {
		}
		if err := s.fixRow(c, from.Rows[number], number, heads); err != nil {
			return err
		}
		s.offered(number, one.Name, c.last)
		one.Lines++
	}
	return nil
}

// takeRows takes the rows to the header and those to be fixed out of a workbook.
func (s *source) takeRows(content []byte) (*book.Excerpt, error) {
	last := s.Layout.File.Header
	for number := range s.faults {
		last = max(last, number)
	}
	wanted := func(row int) bool { return row <= s.Layout.File.Header || s.faults[row] != nil }
	return book.Take(bytes.NewReader(content), int64(len(content)), s.Layout, wanted, last)
}

// texts are what stands in the cells of a row, up to the last that holds something.
func texts(row []book.Cell) (all []string) {
	for _, c := range row {
		for len(all) < c.Column {
			all = append(all, "")
		}
		all[c.Column-1] = c.Value
	}
	return all
}

// openBook finds the workbook to mend of a name that has a header and counts
// days alike, or makes one.
func (m *maker) openBook(name string, from *book.Excerpt, heads []string) (*File, error) {
	for k := 1; ; k++ {
		try := numbered(name, k)
		if m.taken[try] {
			continue
		}
		at := slices.IndexFunc(m.files, func(f File) bool { return f.Name == try })
		if at < 0 {
			to := excelize.NewFile()
			if err := to.SetSheetName("Sheet1", from.Sheet); err != nil {
				return nil, err
			}
			if err := to.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &from.Late}); err != nil {
				return nil, err
			}
			m.files = append(m.files, File{Name: try, book: &bookCopy{
				to: to, into: from.Sheet, head: heads, late: from.Late, styles: map[book.Format]int{},
			}})
			return &m.files[len(m.files)-1], nil
		}
		if c := m.files[at].book; c != nil && c.into == from.Sheet && c.late == from.Late && slices.Equal(c.head, heads) {
			return &m.files[at], nil
		}
	}
}

// closeBooks makes bytes of the workbooks.
func (m *maker) closeBooks() error {
	for i := range m.files {
		f := &m.files[i]
		if f.book == nil {
			continue
		}
		var out bytes.Buffer
		if err := m.WriteBook(&out, f.book.to, "lines to mend"); err != nil {
			return err
		}
		if err := f.book.to.Close(); err != nil {
			return err
		}
		f.text, f.book = out.Bytes(), nil
	}
	return nil
}

// fixRow copies a row, with pseudonyms for technician codes, and says what is
// wrong with it.
func (s *source) fixRow(c *bookCopy, row []book.Cell, number int, heads []string) error {
	if err := c.copyRow(row, len(heads)); err != nil {
		return err
	}
	for _, cell := range row {
		if s.alias == nil || cell.Column > len(heads) || !s.codes(heads[cell.Column-1]) {
			continue
		}
		if code := strings.TrimSpace(cell.Value); code != "" {
			if err := c.say(c.last, cell.Column, s.alias(code)); err != nil {
				return err
			}
		}
	}
	return c.say(c.last, len(heads)+1, s.reasonsOf(number))
}

// bookCopy is a new workbook that rows of sheets are copied into.
type bookCopy struct {
	to     *excelize.File
	into   string   // its sheet
	head   []string // the header; what stands above it is the first export's
	late   bool     // days count from 1904
	last   int      // row written last
	styles map[book.Format]int
}

// begin writes the rows to the header.
func (c *bookCopy) begin(from *book.Excerpt, header int, heads []string) error {
	for c.last < header {
		c.last++
		if err := c.copyRow(from.Rows[c.last], math.MaxInt); err != nil {
			return err
		}
	}
	return c.say(c.last, len(heads)+1, Column)
}

// copyRow copies the first cells of a row.
func (c *bookCopy) copyRow(row []book.Cell, cells int) error {
	for i := range row {
		if row[i].Column > cells {
			break
		}
		if err := c.copyCell(&row[i]); err != nil {
			return err
		}
	}
	return nil
}

// copyCell copies what is stored in a cell, and the form of its number.
func (c *bookCopy) copyCell(from *book.Cell) error {
	target, err := excelize.CoordinatesToCellName(from.Column, c.last)
	if err != nil {
		return err
	}
	switch from.Type {
	case "", "n", "str":
		err = c.to.SetCellDefault(c.into, target, from.Value)
	case "b":
		err = c.to.SetCellBool(c.into, target, from.Value == "1" || strings.EqualFold(from.Value, "true"))
	default:
		err = c.to.SetCellStr(c.into, target, from.Value)
	}
	if err != nil || from.Format == (book.Format{}) {
		return err
	}
	style, ok := c.styles[from.Format]
	if !ok {
		s := excelize.Style{NumFmt: from.Format.Number}
		if from.Format.Own != "" {
			s.CustomNumFmt = &from.Format.Own
		}
		if style, err = c.to.NewStyle(&s); err != nil {
			return err
		}
		c.styles[from.Format] = style
	}
	return c.to.SetCellStyle(c.into, target, target, style)
}

// say writes a text into a cell.
func (c *bookCopy) say(row, column int, text string) error {
	cell, err := excelize.CoordinatesToCellName(column, row)
	if err != nil {
		return err
	}
	return c.to.SetCellStr(c.into, cell, text)
}
