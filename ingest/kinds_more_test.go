package ingest

import (
	"fmt"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/assert"
)

// TestFurtherKindsOfFault has faults that other rules than those of one cell
// find. What is right follows from the layout and the rules of the package.
func TestFurtherKindsOfFault(t *testing.T) {
	swapped := strings.Replace(readingsHeader, "CO2,O2", "O2,CO2", 1)
	renamed := strings.Replace(readingsHeader, ",CO,", ",CO air-free,", 1)
	markedHeader := "\ufeff" + strings.ToUpper(readingsHeader)
	withCRLF := strings.ReplaceAll(readingsFile(goodRow, goodRow), "\n", "\r\n")
	likeTotals := readingsFile(goodRowWith("BX-7", "TOTALIS-7"), goodRowWith("BX-7", "Mean-7"))
	contradicted, incomplete := []string{"refused convention-contradicted"}, []string{"incomplete incomplete-file"}
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"a second part with its columns in another order", readingsFile(goodRow, swapped, goodRow), contradicted},
		{"a second part with a column of another name", readingsFile(goodRow, renamed, goodRow), contradicted},
		{
			"a second part with a byte order mark", readingsFile(goodRow, markedHeader, goodRowWith("A1", "A2")),
			[]string{"2 read fire=high", "4 read fire=high"},
		},
		{"a row with words of the header", readingsFile(goodRowWith("T1", "Tech")), []string{"2 read fire=high"}},
		{
			"a total with everything a reading needs", readingsFile(goodRow, goodRowWith("A1", "Total"), goodRowWith("BX-7", "Grand total:")),
			[]string{"2 read fire=high", "3 aside footer-line", "4 aside footer-line"},
		},
		{
			"counts below the rows", readingsFile(goodRow, "(3 rows affected)", "2 records", "-- end --", "2nd floor"),
			[]string{"2 read fire=high", "3 aside footer-line", "4 aside footer-line", "5 aside footer-line", "6 aside wrong-field-count"},
		},
		{"identifiers that only begin like a total", likeTotals, []string{"2 read fire=high", "3 read fire=high"}},
		{"cut between the two halves of the last line end", strings.TrimSuffix(withCRLF, "\n"), incomplete},
		{"cut within a quoted cell", readingsFile(goodRow) + goodRowWith("T1", `"T1`), incomplete},
		{"cut within a quoted cell of several lines", readingsFile(goodRow) + "A2,BX-7,2023-02-06,annual,\"one\ntwo", incomplete},
		{
			"a quote that never closes in a whole file", readingsFile(goodRow, goodRowWith("T1", `"T1`)),
			[]string{"2 read fire=high", "3 aside unterminated-quote"},
		},
		{"carriage returns alone", strings.ReplaceAll(readingsFile(goodRow), "\n", "\r"), []string{"2 read fire=high"}},
		{
			"one byte 0 early in the file", readingsFile(goodRowWith("T1", "T\x001"), goodRow),
			[]string{"2 aside control-char", "3 read fire=high"},
		},
		{"a byte 0 in the header", asLines(strings.Replace(readingsHeader, "Tech", "Te\x00ch", 1), goodRow), []string{"refused not-a-text-file"}},
		{"an identifier the column was too narrow for", readingsFile(goodRowWith("BX-7", "######")), []string{"2 aside identifier-damaged"}},
	} {
		r, w := readInto(t, readingsFolder(t, nil, c.text))
		assert.Equal(t, c.want, fate(r.Files[0], w, "record.readings", "fire"), "%s: %s", c.name, r.Files[0].Message)
	}
}

// TestFurtherEncodings: bytes that are not of the declared encoding are found
// where every one of them stands for some letter, too, and a copy cut within a
// character of two bytes waits.
func TestFurtherEncodings(t *testing.T) {
	text := readingsFile(goodRowWith("T1", "Jürg"))
	both := func(big bool) string {
		var b []byte
		for _, u := range utf16.Encode([]rune(text)) {
			if big {
				b = append(b, byte(u>>8), byte(u))
			} else {
				b = append(b, byte(u), byte(u>>8))
			}
		}
		return string(b)
	}
	many := readingsFile(strings.Repeat(goodRow+"\n", 700) + goodRowWith("T1", "Jürg"))
	for _, c := range []struct{ name, encoding, bytes, want string }{
		{"UTF-8 declared Latin-1", "latin-1", text, "refused wrong-encoding"},
		{"UTF-8 declared Windows-1252", "windows-1252", many, "refused wrong-encoding"},
		{"both ways of writing", "windows-1252", strings.Replace(text, "M1", "M\xfc", 1), "read "},
		{"ASCII alone", "latin-1", readingsFile(goodRow), "read "},
		{"a byte without a letter", "windows-1252", strings.Replace(latin(text), "M1", "M\x81", 1), "refused wrong-encoding"},
		{"UTF-8 declared UTF-16", "utf-16le", text, "refused wrong-encoding"},
		{"the other order without a mark", "utf-16le", both(true), "refused wrong-encoding"},
		{"the declared order without a mark", "utf-16be", both(true), "read "},
		{"cut within a character", "utf-16le", both(false)[:2*len([]rune(text))-1], "incomplete incomplete-file"},
		{"half a pair in the middle", "utf-16le", strings.Replace(both(false), "J\x00", "\x00\xd8", 1), "refused wrong-encoding"},
	} {
		r, _ := readInto(t, readingsFolder(t, fileKeys{"encoding": fmt.Sprintf("%q", c.encoding)}, c.bytes))
		assert.Equal(t, c.want, r.Files[0].Outcome+" "+r.Files[0].Reason, "%s: %s", c.name, r.Files[0].Message)
	}
}

// TestTotalsOfRegisters: a register asks for no more than a serial, and still a
// line of totals is no unit.
func TestTotalsOfRegisters(t *testing.T) {
	text := "Serial,Site,Fuel,Input,Fitted,Wide,Long,Bends,Alt,Lat\n" +
		"BX-7,S-1,natural gas,1500,2016-05-10,8,24,2,650,40.1\nTotal,,,1500,,,,,,\nCount: 1,,,,,,,,,\n"
	r, w := readInto(t, folder(t, map[string]string{"u.toml": unitsLayoutOf("01"), "01_units.csv": text}))
	want := []string{"2 read serial=BX-7", "3 aside footer-line", "4 aside footer-line"}
	assert.Equal(t, want, fate(r.Files[0], w, "record.units", "serial"))
}
