package table

import (
	"archive/zip"
	"bytes"
	"cmp"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"fluedrift/analysis/report/words"
)

// Limits of a sheet: its rows, and the characters of a cell.
const (
	sheetRows = 1_048_576
	cellChars = 32_767
	headRows  = 2 // above the lines of a list
)

// WriteXLSX writes lists as one workbook: a front sheet with the as-of day, the
// sentences at the head of each list, its number of lines and the cautions;
// then a sheet a list with frozen headers, for people and below them the name that
// programs use, filters and widths. It opens on the first list and prints. Days are dates,
// numbers numbers shown with their decimals, everything else text: a serial
// keeps all its digits and its leading zeros, and no text is a formula. Lists
// longer than a sheet end at its last row, and the front sheet says so. The
// same lists give the same bytes.
func WriteXLSX(w io.Writer, lists []Table) error {
	book := excelize.NewFile()
	defer book.Close()
	b := &workbook{book: book, styles: map[string]int{}, rows: map[string]rowWriter{}}
	if err := b.front(lists); err != nil {
		return fmt.Errorf("write workbook: %w", err)
	}
	for i, t := range lists {
		if err := b.sheet(leading(t), i == 0); err != nil {
			return fmt.Errorf("write workbook, sheet %s: %w", t.Name, err)
		}
	}
	return writeBook(w, book, "fluedrift lists", b.rows)
}

// WriteBook writes a workbook under a title: the same book gives the same bytes.
func WriteBook(w io.Writer, book *excelize.File, title string) error {
	return writeBook(w, book, title, nil)
}

// writeBook writes a workbook with rows that go behind those a sheet has, by its part.
func writeBook(w io.Writer, book *excelize.File, title string, rows map[string]rowWriter) error {
	if err := book.SetDocProps(&excelize.DocProperties{
		Creator: "fluedrift", LastModifiedBy: "fluedrift", Title: title,
		Created: fixedTime, Modified: fixedTime, Language: "en",
	}); err != nil {
		return fmt.Errorf("write workbook: %w", err)
	}
	buffer, err := book.WriteToBuffer()
	if err != nil {
		return fmt.Errorf("write workbook: %w", err)
	}
	return sameZip(w, buffer.Bytes(), rows)
}

// fixedTime stands in every property that would tell when a workbook was made:
// the as-of day is in it, and the same lists are the same bytes.
const fixedTime = "2000-01-01T00:00:00Z"

// sameZip writes a zip file anew with its parts in one order and with one time
// for all, so that the same parts make the same bytes.
func sameZip(w io.Writer, content []byte, rows map[string]rowWriter) error {
	in, err := zip.NewReader(bytes.NewReader(content), int64(len(content)))
	if err != nil {
		return fmt.Errorf("write workbook: %w", err)
	}
	files := slices.Clone(in.File)
	slices.SortFunc(files, func(a, b *zip.File) int {
		return cmp.Or(partRank(a.Name)-partRank(b.Name), strings.Compare(a.Name, b.Name))
	})
	out := zip.NewWriter(w)
	for _, f := range files {
		if more := rows[f.Name]; more != nil {
			if err := withRows(out, f, more); err != nil {
				return fmt.Errorf("write workbook: %w", err)
			}
			continue
		}
		header := zip.FileHeader{
			Name: f.Name, Method: f.Method, CRC32: f.CRC32, CompressedSize64: f.CompressedSize64,
			UncompressedSize64: f.UncompressedSize64,
		}
		//lint:ignore SA1019 CreateRaw writes this field and leaves Modified aside
		header.ModifiedDate = fixedDate
		part, err := out.CreateRaw(&header)
		if err != nil {
			return fmt.Errorf("write workbook: %w", err)
		}
		raw, err := f.OpenRaw()
		if err != nil {
			return fmt.Errorf("write workbook: %w", err)
		}
		if _, err := io.Copy(part, raw); err != nil {
			return fmt.Errorf("write workbook: %w", err)
		}
	}
	if err := out.Close(); err != nil {
		return fmt.Errorf("write workbook: %w", err)
	}
	return nil
}

// partRank puts the table of contents first, where readers look for it.
func partRank(name string) int {
	switch name {
	case "[Content_Types].xml":
		return 0
	case "_rels/.rels":
		return 1
	}
	return 2
}

// workbook is a book being written, with its styles by number format.
type workbook struct {
	book             *excelize.File
	styles           map[string]int
	rows             map[string]rowWriter // of the lists, by the part of their sheet
	bold, head, name int                  // styles of headings, and of the two lines of a list's header
}

// frontSheet is the name of the first sheet.
const frontSheet = "about"

// front writes what the lists speak for.
func (b *workbook) front(lists []Table) error {
	if err := b.book.SetSheetName("Sheet1", frontSheet); err != nil {
		return err
	}
	if err := b.headings(); err != nil {
		return err
	}
	rows := [][]any{{"fluedrift: units due for attention"}, {}}
	if len(lists) > 0 {
		rows = append(rows, []any{"As of", words.Day(lists[0].AsOf)}, []any{})
	}
	headings := map[int]bool{1: true}
	rows = append(rows, []any{"list", "lines", "what it says"})
	headings[len(rows)] = true
	for _, t := range lists {
		note := ""
		if len(t.Rows) > sheetRows-headRows {
			note = fmt.Sprintf("Only the first %d lines are on the sheet; all of them: %s.csv", sheetRows-headRows, t.Name)
		}
		head := t.Lines()
		if note != "" {
			head = append([]string{note}, head...)
		}
		rows = append(rows, []any{t.Name, len(t.Rows), first(head)})
		for _, h := range rest(head) {
			rows = append(rows, []any{"", "", words.Visible(h)})
		}
	}
	rows = append(rows, []any{}, []any{"cautions"})
	headings[len(rows)] = true
	for _, c := range words.Cautions() {
		rows = append(rows, []any{c})
	}
	for i, row := range rows {
		cell := "A" + strconv.Itoa(i+1)
		if err := b.book.SetSheetRow(frontSheet, cell, &row); err != nil {
			return err
		}
		if headings[i+1] {
			if err := b.book.SetCellStyle(frontSheet, cell, "C"+strconv.Itoa(i+1), b.bold); err != nil {
				return err
			}
		}
	}
	for column, width := range map[string]float64{"A": 18, "B": 14, "C": 110} {
		if err := b.book.SetColWidth(frontSheet, column, column, width); err != nil {
			return err
		}
	}
	return nil
}

func first(lines []string) string {
	if len(lines) == 0 {
		return ""
	}
	return words.Visible(lines[0])
}

func rest(lines []string) []string {
	if len(lines) < 2 {
		return nil
	}
	return lines[1:]
}

// sheet writes one list; the workbook opens on the first.
func (b *workbook) sheet(t Table, first bool) error {
	at, err := b.book.NewSheet(t.Name)
	if err != nil {
		return err
	}
	if first {
		b.book.SetActiveSheet(at)
	}
	if err := b.print(t); err != nil {
		return err
	}
	out, err := b.book.NewStreamWriter(t.Name)
	if err != nil {
		return err
	}
	if err := b.header(out, t); err != nil {
		return err
	}
	rows := t.Rows[:min(len(t.Rows), sheetRows-headRows)]
	if b.rows[fmt.Sprintf("xl/worksheets/sheet%d.xml", at+1)], err = b.rowsOf(t.Columns, rows); err != nil {
		return err
	}
	if len(rows) > 0 && len(t.Columns) > 0 {
		end, err := excelize.CoordinatesToCellName(len(t.Columns), len(rows)+headRows)
		if err != nil {
			return err
		}
		from := "A" + strconv.Itoa(headRows)
		if err := out.AddTable(&excelize.Table{Range: from + ":" + end, Name: strings.ReplaceAll(t.Name, "-", "_")}); err != nil {
			return err
		}
	}
	return out.Flush()
}

// header writes the two lines above a list, which stay where they are: what people
// call each column, with its unit, and its name.
func (b *workbook) header(out *excelize.StreamWriter, t Table) error {
	if err := out.SetPanes(&excelize.Panes{
		Freeze: true, YSplit: headRows, TopLeftCell: "A" + strconv.Itoa(headRows+1), ActivePane: "bottomLeft",
	}); err != nil {
		return err
	}
	people, names := make([]any, len(t.Columns)), make([]any, len(t.Columns))
	for i, c := range t.Columns {
		if err := out.SetColWidth(i+1, i+1, widthOf(t, i)); err != nil {
			return err
		}
		people[i] = excelize.Cell{StyleID: b.head, Value: words.Visible(headerOf(c))}
		names[i] = excelize.Cell{StyleID: b.name, Value: words.Visible(c.Name)}
	}
	if err := out.SetRow("A1", people); err != nil {
		return err
	}
	return out.SetRow("A2", names)
}

// headerOf is what people call a column, with its unit.
func headerOf(c Column) string {
	header := words.Capital(TitleOf(c))
	if c.Kind == Number && c.Unit != "" && !strings.Contains(header, c.Unit) {
		header += ", " + c.Unit
	}
	return header
}

// numberFormat shows a number with the decimals of its cell.
func numberFormat(c Cell) string {
	if c.decimals < 1 {
		return "0"
	}
	return "0." + strings.Repeat("0", c.decimals)
}

// clipped ends a text that no cell can hold, and says so.
func clipped(s string) string {
	const end = " ... (cut)"
	if len(s) <= cellChars {
		return s
	}
	return strings.ToValidUTF8(s[:cellChars-len(end)], "") + end
}

// longText is the format of a text that wraps.
const longText = "@ wrapped"

// style makes each number format once.
func (b *workbook) style(format string) (int, error) {
	if id, ok := b.styles[format]; ok {
		return id, nil
	}
	s := &excelize.Style{CustomNumFmt: &format}
	switch format {
	case "@":
		s = &excelize.Style{NumFmt: 49}
	case longText:
		s = &excelize.Style{NumFmt: 49, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}}
	}
	id, err := b.book.NewStyle(s)
	b.styles[format] = id
	return id, err
}

// Widths of columns, in characters.
const (
	leastWidth, mostWidth = 6, 60
	widthRows             = 200 // how many lines a width is taken from
)

// widthOf is wide enough for the header and most cells.
func widthOf(t Table, column int) float64 {
	n := utf8.RuneCountInString(t.Columns[column].Name) + 3 // room for the filter's arrow
	for _, row := range t.Rows[:min(len(t.Rows), widthRows)] {
		n = max(n, utf8.RuneCountInString(row[column].String())+1)
	}
	return float64(min(max(n, leastWidth), mostWidth))
}
