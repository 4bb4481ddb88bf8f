package mend

import (
	"bytes"
	"errors"
	"maps"
	"slices"
	"strings"

	"github.com/xuri/excelize/v2"

	"fluedrift/ingest/layout"
)

// sheetRows opens a workbook and gives the sheet a layout reads, raw. The library
// asks for parts of a workbook that reading does without.
func sheetRows(content []byte, l *layout.Layout) (from *excelize.File, sheet string, rows [][]string, err error) {
	if from, err = excelize.OpenReader(bytes.NewReader(content)); err != nil {
		return nil, "", nil, err
	}
	sheet = sheetName(from, l)
	if rows, err = from.GetRows(sheet, excelize.Options{RawCellValue: true}); err != nil {
		return nil, "", nil, errors.Join(err, from.Close())
	}
	return from, sheet, rows, nil
}

// addBook copies the rows to be fixed into the workbook of that name and header:
// the rows to the header as they stand, then those to fix, numbers as numbers in
// the forms they are shown in, and a column with what is wrong. No text of it is
// a formula.
func (m *maker) addBook(s *source, from *excelize.File, sheet string, rows [][]string) error {
	header := s.Layout.File.Header
	if header > len(rows) {
		return nil
	}
	head := rows[:header]
	one, err := m.openBook(s.name, from, sheet, head)
	if err != nil {
		return err
	}
	one.wrote = writer(&layout.Layout{}, s.packed)
	c := one.book
	c.from, c.sheet, c.styles = from, sheet, map[int]int{}
	if c.last == 0 {
		if err := c.begin(head); err != nil {
			return err
		}
	}
	for _, number := range slices.Sorted(maps.Keys(s.faults)) {
		if number <= header || number > len(rows) {
			continue
		}
		for c.last++; slices.Contains(s.Layout.File.SkipLines, c.last); c.last++ {
		}
		if err := s.fixRow(c, number, c.last, head[len(head)-1]); err != nil {
			return err
		}
		s.offered(number, one.Name, c.last)
		one.Lines++
	}
	return nil
}

// openBook finds the workbook to mend of a name that has a header and counts
// days alike, or makes one.
func (m *maker) openBook(name string, from *excelize.File, sheet string, head [][]string) (*File, error) {
	props, err := from.GetWorkbookProps()
	if err != nil {
		return nil, err
	}
	late := props.Date1904 != nil && *props.Date1904
	for k := 1; ; k++ {
		try := numbered(name, k)
		if m.taken[try] {
			continue
		}
		at := slices.IndexFunc(m.files, func(f File) bool { return f.Name == try })
		if at < 0 {
			to := excelize.NewFile()
			if err := to.SetSheetName("Sheet1", sheet); err != nil {
				return nil, err
			}
			if err := to.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &late}); err != nil {
				return nil, err
			}
			m.files = append(m.files, File{Name: try, book: &bookCopy{to: to, into: sheet, head: head[len(head)-1], late: late}})
			return &m.files[len(m.files)-1], nil
		}
		if c := m.files[at].book; c != nil && c.into == sheet && c.late == late && slices.Equal(c.head, head[len(head)-1]) {
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
func (s *source) fixRow(c *bookCopy, from, to int, heads []string) error {
	if err := c.copyRow(from, to, len(heads)); err != nil {
		return err
	}
	for k, h := range heads {
		if s.alias == nil || !s.codes(h) {
			continue
		}
		code, err := c.value(from, k+1)
		if err != nil {
			return err
		}
		if code = strings.TrimSpace(code); code != "" {
			if err := c.say(to, k+1, s.alias(code)); err != nil {
				return err
			}
		}
	}
	return c.say(to, len(heads)+1, s.reasonsOf(from))
}

// bookCopy copies rows of sheets into a new workbook.
type bookCopy struct {
	to   *excelize.File
	into string   // its sheet
	head []string // the header; what stands above it is the first export's
	late bool     // days count from 1904
	last int      // row written last

	from   *excelize.File
	sheet  string
	styles map[int]int // of the new workbook, by those of the old
}

// sheetName is the sheet a layout reads.
func sheetName(f *excelize.File, l *layout.Layout) string {
	all := f.GetSheetList()
	switch s := l.File.Sheet.(type) {
	case string:
		return s
	case int64:
		if s >= 1 && int(s) <= len(all) {
			return all[s-1]
		}
	}
	return all[0]
}

// begin writes the rows to the header.
func (c *bookCopy) begin(head [][]string) error {
	for c.last < len(head) {
		c.last++
		if err := c.copyRow(c.last, c.last, len(head[c.last-1])); err != nil {
			return err
		}
	}
	return c.say(c.last, len(head[len(head)-1])+1, Column)
}

// copyRow copies the first cells of a row.
func (c *bookCopy) copyRow(from, to, cells int) error {
	for column := 1; column <= cells; column++ {
		if err := c.copyCell(from, to, column); err != nil {
			return err
		}
	}
	return nil
}

func (c *bookCopy) value(row, column int) (string, error) {
	cell, err := excelize.CoordinatesToCellName(column, row)
	if err != nil {
		return "", err
	}
	return c.from.GetCellValue(c.sheet, cell, excelize.Options{RawCellValue: true})
}

// copyCell copies what is stored in a cell, and the form of its number.
func (c *bookCopy) copyCell(from, to, column int) error {
	source, err := excelize.CoordinatesToCellName(column, from)
	if err != nil {
		return err
	}
	target, err := excelize.CoordinatesToCellName(column, to)
	if err != nil {
		return err
	}
	value, err := c.value(from, column)
	if err != nil || value == "" {
		return err
	}
	kind, err := c.from.GetCellType(c.sheet, source)
	if err != nil {
		return err
	}
	switch kind {
	case excelize.CellTypeUnset, excelize.CellTypeNumber, excelize.CellTypeFormula:
		err = c.to.SetCellDefault(c.into, target, value)
	case excelize.CellTypeBool:
		err = c.to.SetCellBool(c.into, target, value == "1" || strings.EqualFold(value, "true"))
	default:
		err = c.to.SetCellStr(c.into, target, value)
	}
	if err != nil {
		return err
	}
	return c.copyStyle(source, target)
}

// copyStyle takes over the form in which a cell shows its number.
func (c *bookCopy) copyStyle(source, target string) error {
	old, err := c.from.GetCellStyle(c.sheet, source)
	if err != nil || old == 0 {
		return err
	}
	style, ok := c.styles[old]
	if !ok {
		s, err := c.from.GetStyle(old)
		if err != nil {
			return err
		}
		if style, err = c.to.NewStyle(&excelize.Style{NumFmt: s.NumFmt, CustomNumFmt: s.CustomNumFmt}); err != nil {
			return err
		}
		c.styles[old] = style
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
