package book

import (
	"archive/zip"
	"bufio"
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"fluedrift/ingest/layout"
)

var firstSheet = &layout.Layout{File: layout.File{Sheet: int64(1)}}

// What is taken out of a workbook is what another reader of workbooks (excelize) finds in
// these rows: values as they are stored, kinds of cells, forms of numbers.
func TestTakeIsWhatAnotherReaderFinds(t *testing.T) {
	const rows, columns = 150, 4
	rng := rand.New(rand.NewPCG(1, 1))
	b := excelize.NewFile()
	defer b.Close()
	own := "0.0 \"%\""
	day, err := b.NewStyle(&excelize.Style{NumFmt: 14})
	require.NoError(t, err)
	percent, err := b.NewStyle(&excelize.Style{CustomNumFmt: &own})
	require.NoError(t, err)
	formats := map[int]Format{0: {}, day: {Number: 14}, percent: {Own: own}}
	values := []any{nil, nil, true, false, 9.25, 45_300, "007", " a <b> & \"c\"", "</row>", "=1", "é_x0041_"}
	styles := []int{0, 0, day, percent}
	each := func(do func(row, column int, name string)) {
		for row := 1; row <= rows; row++ {
			for column := 1; column <= columns; column++ {
				name, err := excelize.CoordinatesToCellName(column, row)
				require.NoError(t, err)
				do(row, column, name)
			}
		}
	}
	each(func(_, _ int, name string) {
		require.NoError(t, b.SetCellValue("Sheet1", name, values[rng.IntN(len(values))]))
		require.NoError(t, b.SetCellStyle("Sheet1", name, name, styles[rng.IntN(len(styles))]))
	})
	content, err := b.WriteToBuffer()
	require.NoError(t, err)
	wanted := func(row int) bool { return row%3 > 0 }
	got, err := Take(bytes.NewReader(content.Bytes()), int64(content.Len()), firstSheet, wanted, rows)
	require.NoError(t, err)
	assert.Equal(t, "Sheet1", got.Sheet)
	assert.Equal(t, rows, got.Last)
	assert.False(t, got.Late)
	each(func(row, column int, name string) {
		text, err := b.GetCellValue("Sheet1", name, excelize.Options{RawCellValue: true})
		require.NoError(t, err)
		style, err := b.GetCellStyle("Sheet1", name)
		require.NoError(t, err)
		at := slices.IndexFunc(got.Rows[row], func(c Cell) bool { return c.Column == column })
		if !wanted(row) || text == "" {
			require.Negative(t, at, name)
			return
		}
		require.Equal(t, text, got.Rows[row][at].Value, name)
		require.Equal(t, formats[style], got.Rows[row][at].Format, name)
	})
}

// rowsOf are the rows that a decoder of XML finds in a sheet, as they stand.
func rowsOf(text string) (rows []string, ok bool) {
	d := xml.NewDecoder(strings.NewReader(text))
	from := int64(-1)
	for {
		before := d.InputOffset()
		token, err := d.RawToken()
		if errors.Is(err, io.EOF) {
			return rows, from < 0
		}
		if err != nil {
			return nil, false
		}
		switch e := token.(type) {
		case xml.StartElement:
			switch {
			case e.Name.Local != "row":
			case from >= 0:
				return nil, false // nor rows in a row
			default:
				from = before
			}
		case xml.EndElement:
			if e.Name.Local == "row" && from >= 0 {
				rows, from = append(rows, text[from:d.InputOffset()]), -1
			}
		case xml.Directive:
			return nil, false // no sheet has one
		}
	}
}

// Stepping from row to row by the tags finds the rows that a decoder of XML finds.
func FuzzRows(f *testing.F) {
	for _, sheet := range []string{
		`<worksheet><sheetData><row r="1"><c r="A1"><v>1</v></c></row><row><c/></row></sheetData><rowBreaks/></worksheet>`,
		`<x:worksheet><!-- <row r="9"> --><x:row r='2' s=">"><x:c t="str"><x:v><![CDATA[</row>]]></x:v></x:c></x:row></x:worksheet>`,
		`<?xml version="1.0"?><a><row r="3"/><row r="4"></row><?p <row> ?><row r="5"><!-- </row> --></row></a>`,
	} {
		f.Add(sheet)
	}
	f.Fuzz(func(t *testing.T, sheet string) {
		want, ok := rowsOf(sheet)
		if !ok {
			return
		}
		steps := rowSteps{in: bufio.NewReaderSize(strings.NewReader(sheet), longestTag)}
		var got []string
		for {
			row, err := steps.next(func(int) bool { return true })
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil && !strings.Contains(sheet, `r=`) {
				t.Fatal(err)
			}
			if err != nil {
				return // a number that is none
			}
			got = append(got, string(steps.row))
			_ = row
		}
		if strings.Join(want, "\n") != strings.Join(got, "\n") {
			t.Fatalf("%q\nnot %q", got, want)
		}
	})
}

// A damaged workbook is an error and no crash.
func TestTakeOfADamagedWorkbook(t *testing.T) {
	b := excelize.NewFile()
	defer b.Close()
	require.NoError(t, b.SetCellValue("Sheet1", "A1", "x"))
	content, err := b.WriteToBuffer()
	require.NoError(t, err)
	all := func(int) bool { return true }
	for _, cut := range []int{0, 4, content.Len() / 2, content.Len() - 1} {
		_, err := Take(bytes.NewReader(content.Bytes()[:cut]), int64(cut), firstSheet, all, 1)
		assert.Error(t, err)
	}
	var broken bytes.Buffer
	z := zip.NewWriter(&broken)
	for name, part := range map[string]string{
		"xl/workbook.xml":            `<workbook><sheets><sheet name="S" r:id="a"/></sheets></workbook>`,
		"xl/_rels/workbook.xml.rels": `<Relationships><Relationship Id="a" Type="x/worksheet" Target="s.xml"/></Relationships>`,
		"xl/s.xml":                   `<worksheet><sheetData><row r="1"><c r="A1"><v>1</v>`,
	} {
		w, err := z.Create(name)
		require.NoError(t, err)
		_, err = w.Write([]byte(part))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	_, err = Take(bytes.NewReader(broken.Bytes()), int64(broken.Len()), firstSheet, all, 1)
	assert.ErrorContains(t, err, "ends early")
}
