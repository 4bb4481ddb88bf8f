package table

import (
	"archive/zip"
	"bufio"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"

	"fluedrift/analysis/report/words"
	"fluedrift/model/day"
)

// The rows of a list are written by hand into the part of their sheet (ECMA-376 part 1,
// 18.3.1.73 and 18.3.1.4): a library would hold all of them as XML, and name the place
// of every cell, which takes as much room as what is in it. A cell without a place
// stands behind the one before it; the row has its number.

// rowWriter writes rows of a sheet.
type rowWriter func(out *bufio.Writer) error

// rowsOf makes the styles of a list's cells, and a writer of its rows.
func (b *workbook) rowsOf(columns []Column, rows [][]Cell) (rowWriter, error) {
	var styles numberStyles
	texts := make([]string, len(columns))
	on := ""
	style := func(to *string, format string) error {
		if *to != "" {
			return nil
		}
		id, err := b.style(format)
		*to = ` s="` + strconv.Itoa(id) + `"`
		return err
	}
	for _, row := range rows {
		for i, c := range row {
			var err error
			switch c.kind {
			case Number:
				err = style(&styles[decimalsOf(c)], numberFormat(c))
			case Day:
				err = style(&on, "yyyy-mm-dd")
			case Text:
				format := "@"
				if columns[i].Name == "reasons" {
					format = longText
				}
				err = style(&texts[i], format)
			}
			if err != nil {
				return nil, err
			}
		}
	}
	return func(out *bufio.Writer) error {
		for n, row := range rows {
			fmt.Fprintf(out, `<row r="%d">`, n+headRows+1)
			for len(row) > 0 && row[len(row)-1].Missing() {
				row = row[:len(row)-1]
			}
			for i, c := range row {
				if err := writeCell(out, c, &styles, on, texts[i]); err != nil {
					return err
				}
			}
			out.WriteString("</row>")
		}
		return nil
	}, nil
}

// mostDecimals is how many decimals a number of a list is shown with at most.
const mostDecimals = 9

// numberStyles are the styles of numbers, by their decimals.
type numberStyles [mostDecimals + 1]string

func decimalsOf(c Cell) int { return min(max(c.decimals, 0), mostDecimals) }

// writeCell writes a cell with the style of its kind; a long text goes on below itself.
func writeCell(out *bufio.Writer, c Cell, numbers *numberStyles, on, text string) error {
	var digits [32]byte
	switch c.kind {
	case Number:
		v, err := strconv.ParseFloat(c.String(), 64)
		if err != nil {
			return err
		}
		writeValue(out, numbers[decimalsOf(c)], strconv.AppendFloat(digits[:0], v, 'f', -1, 64))
	case Day:
		d, err := day.Parse(c.text)
		if err != nil {
			return err
		}
		writeValue(out, on, strconv.AppendInt(digits[:0], int64(d)+epochDay, 10))
	case Text:
		shown := escapedText(clipped(words.Visible(c.text)))
		out.WriteString("<c" + text + ` t="inlineStr"><is><t`)
		if strings.TrimSpace(shown) != shown {
			out.WriteString(` xml:space="preserve"`)
		}
		out.WriteByte('>')
		if err := xml.EscapeText(out, []byte(shown)); err != nil {
			return err
		}
		out.WriteString("</t></is></c>")
	default:
		out.WriteString("<c/>")
	}
	return nil
}

func writeValue(out *bufio.Writer, style string, value []byte) {
	out.WriteString("<c")
	out.WriteString(style)
	out.WriteString("><v>")
	out.Write(value)
	out.WriteString("</v></c>")
}

// epochDay is 1 January 1970 as a sheet counts days.
const epochDay = 25569

// looksEscaped is a text that a reader of workbooks takes for a character that XML cannot
// hold (ECMA-376 part 1, 22.9.2.19).
var looksEscaped = regexp.MustCompile(`_x[0-9A-Fa-f]{4}_`)

// escapedText keeps such a text what it is.
func escapedText(s string) string {
	if !strings.Contains(s, "_x") {
		return s
	}
	for at := 0; ; {
		found := looksEscaped.FindStringIndex(s[at:])
		if found == nil {
			return s
		}
		at += found[0]
		s = s[:at] + "_x005F" + s[at:]
		at += len("_x005F_")
	}
}

// fixedDate is 1 January 2000, as zip files write days.
const fixedDate = 20<<9 | 1<<5 | 1

// withRows writes the part of a sheet anew, with rows behind those it has.
func withRows(out *zip.Writer, part *zip.File, rows rowWriter) error {
	r, err := part.Open()
	if err != nil {
		return err
	}
	text, err := io.ReadAll(r)
	if err := errors.Join(err, r.Close()); err != nil {
		return err
	}
	const end = "</sheetData>"
	before, after, ok := bytes.Cut(text, []byte(end))
	if !ok {
		return fmt.Errorf("%s has no rows to go on from", part.Name)
	}
	header := zip.FileHeader{Name: part.Name, Method: zip.Deflate}
	//lint:ignore SA1019 the part gets the date that CreateRaw gives the others
	header.ModifiedDate = fixedDate
	into, err := out.CreateHeader(&header)
	if err != nil {
		return err
	}
	to := bufio.NewWriter(into)
	to.Write(before)
	if err := rows(to); err != nil {
		return err
	}
	to.WriteString(end)
	to.Write(after)
	return to.Flush()
}
