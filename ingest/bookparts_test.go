package ingest

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/lines"
)

// rawBook is a workbook whose parts have names of their own, told by relationships
// alone, with these rows below the header of bookLayout.
func rawBook(rows ...string) [][2]string {
	const kind = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/"
	var header strings.Builder
	header.WriteString(`<row r="2">`)
	for i, h := range []string{"Serial", "Day", "Fire", "CO2", "CO", "Tech"} {
		fmt.Fprintf(&header, `<c r="%c2" t="inlineStr"><is><t>%s</t></is></c>`, 'A'+i, h)
	}
	return [][2]string{
		{"_rels/.rels", `<Relationships><Relationship Id="r1" Type="` + kind + `officeDocument" Target="/own/list.xml"/></Relationships>`},
		{"own/list.xml", `<workbook><sheets><sheet name="Tests" r:id="a"/></sheets></workbook>`},
		{"own/_rels/list.xml.rels", `<Relationships><Relationship Id="a" Type="` + kind + `worksheet" Target="pages/first.xml"/>` +
			`<Relationship Id="b" Type="` + kind + `sharedStrings" Target="../words.xml"/></Relationships>`},
		{"words.xml", `<sst><si><t>004417</t></si><si><r><t>A-</t></r><r><t>9</t></r></si></sst>`},
		{"own/pages/first.xml", `<worksheet><sheetData>` + header.String() + `</row>` + strings.Join(rows, "") + `</sheetData></worksheet>`},
	}
}

const rawRow = `<row r="3"><c r="A3" t="s"><v>0</v></c><c r="B3"><v>45448</v></c><c r="C3" t="str"><f>x</f><v>high</v></c>` +
	`<c r="D3"><v>9.2</v></c><c r="E3"><v>17</v></c><c r="F3" t="inlineStr"><is><t>T1</t></is></c></row>`

// packedParts packs parts in their order.
func packedParts(t *testing.T, parts [][2]string) string {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, p := range parts {
		w, err := z.Create(p[0])
		require.NoError(t, err)
		_, err = w.Write([]byte(p[1]))
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return b.String()
}

// readBook reads a workbook under bookLayout: what became of the file and all that
// was stored of its rows.
func readBook(t *testing.T, book string) (File, []string) {
	t.Helper()
	r, w := readInto(t, folder(t, map[string]string{"book.toml": bookLayout, "book.xlsx": book}))
	return r.Files[0], stored(w)
}

// stored is every row of a warehouse but what was noted of the files.
func stored(w fakeWarehouse) (all []string) {
	for table, rows := range w {
		if strings.HasPrefix(table, "source.") && table != "source.set_aside" {
			continue
		}
		for _, row := range rows {
			all = append(all, fmt.Sprint(table, row))
		}
	}
	slices.Sort(all)
	return all
}

// TestBookParts: parts are found by relationships, whatever they are called.
func TestBookParts(t *testing.T) {
	f, rows := readBook(t, packedParts(t, rawBook(rawRow)))
	assert.Equal(t, []int64{1, 0}, []int64{f.Parsed, f.SetAside}, "%s %v", f.Message, rows)
	parts := rawBook(rawRow)
	slices.Reverse(parts)
	_, again := readBook(t, packedParts(t, parts))
	assert.Equal(t, rows, again, "the order of parts says nothing")
}

// TestBookEscapes: _x000D_ is a line end and _x005F_ an underscore (ECMA-376 part 1,
// 22.9.2.19); a formula's text may be stored as an inline string.
func TestBookEscapes(t *testing.T) {
	row := strings.NewReplacer("<t>T1</t>", "<t>T_x005F_1_x000D_\n_xZZ_</t>", `t="str"><f>x</f><v>high</v>`,
		`t="inlineStr"><f>x</f><is><t>high</t></is>`).Replace(rawRow)
	r, w := readInto(t, folder(t, map[string]string{"book.toml": bookLayout, "book.xlsx": packedParts(t, rawBook(row))}))
	require.Equal(t, int64(1), r.Files[0].Parsed, "%v", r.Files[0].Reasons)
	assert.Equal(t, "technician=T_1\n_xZZ_", w["record.visits"][0].show("technician"))
	assert.Equal(t, "fire=high", w["record.readings"][0].show("fire"))
}

// TestBookDamagedParts: what a workbook says must hold to its last byte.
func TestBookDamagedParts(t *testing.T) {
	change := func(old, new string) string {
		parts := rawBook(rawRow)
		for i := range parts {
			parts[i][1] = strings.Replace(parts[i][1], old, new, 1)
		}
		return packedParts(t, parts)
	}
	deep := strings.Repeat("<b>", 200) + strings.Repeat("</b>", 200)
	for name, c := range map[string]struct{ book, reason, says string }{
		"two parts of one name": {
			packedParts(t, append(rawBook(rawRow), [2]string{"OWN/pages/first.xml", "<worksheet/>"})), lines.NotText,
			"has two parts",
		},
		"unclosed sheet": {change("</worksheet>", ""), lines.NotText, "an element does not close"},
		"crossed tags":   {change("</v></c><c r=\"E3\"", "</c></v><c r=\"E3\""), lines.NotText, "an element does not close"},
		"unclosed texts": {change("</sst>", ""), lines.NotText, "an element does not close"},
		"unclosed list":  {change("</workbook>", ""), lines.NotText, "damaged at own/list.xml"},
		"part not there": {change("../words.xml", "../nowhere.xml"), lines.NotText, "no part nowhere.xml"},
		"deep sheet":     {change("</worksheet>", deep+"</worksheet>"), lines.NotText, "too deep"},
		"deep list":      {change("</workbook>", deep+"</workbook>"), lines.NotText, "too deep"},
		"a text too long": {
			change("<t>T1</t>", "<t>"+strings.Repeat("ä", 32768)+"</t>"), lines.TooLarge,
			"the cell F3 of the workbook holds more than the 32767 characters",
		},
		"binary":        {change("own/list.xml", "own/list.bin"), lines.NotText, "(.xlsb), which is not read\nsave it as .xlsx"},
		"no workbook":   {packedParts(t, [][2]string{{"a.csv", "x"}}), lines.NotText, "no workbook"},
		"open document": {packedParts(t, [][2]string{{"mimetype", "x"}, {"content.xml", "x"}}), lines.NotText, "OpenDocument"},
		"password":      {compound("EncryptedPackage"), lines.NotText, "protected by a password\nsave it without one"},
		"before 2007":   {compound("Workbook"), lines.NotText, "form of before 2007 (.xls), which is not read\nsave it as .xlsx or .csv"},
		"a letter":      {compound("WordDocument"), lines.NotText, "a document of another program"},
	} {
		f, rows := readBook(t, c.book)
		assert.Equal(t, Refused+" "+c.reason, f.Outcome+" "+f.Reason, "%s: %s", name, f.Message)
		assert.Contains(t, f.Message, c.says, name)
		assert.Empty(t, rows, name)
	}
	f, _ := readBook(t, change("<t>T1</t>", "<t>"+strings.Repeat("ä", 32767)+"</t>"))
	assert.Equal(t, int64(1), f.Parsed+f.SetAside, "as long as a cell can be: %s", f.Message)
}

// compound is a compound file (MS-CFB, from memory) as far as its directory, which
// holds one name.
func compound(name string) string {
	b := make([]byte, 3*512)
	copy(b, "\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1")
	binary.LittleEndian.PutUint16(b[0x1E:], 9)
	binary.LittleEndian.PutUint32(b[0x30:], 1)
	units := utf16.Encode([]rune(name))
	for i, u := range units {
		binary.LittleEndian.PutUint16(b[1024+128+2*i:], u)
	}
	binary.LittleEndian.PutUint16(b[1024+128+64:], uint16(2*len(units)+2))
	return string(b)
}

// TestBookFarCells: blank cells far to the right are none, and cost nothing.
func TestBookFarCells(t *testing.T) {
	far := strings.Replace(rawRow, "</row>", `<c r="XFD3" s="1"/></row>`, 1)
	f, rows := readBook(t, packedParts(t, rawBook(far)))
	_, plain := readBook(t, packedParts(t, rawBook(rawRow)))
	assert.Equal(t, int64(1), f.Parsed, "%v", f.Reasons)
	assert.Equal(t, plain, rows)
	f, _ = readBook(t, packedParts(t, rawBook(strings.Replace(far, `<c r="XFD3" s="1"/>`, `<c r="XFD3"/><c r="G3"/>`, 1))))
	assert.Contains(t, f.Message, `names a cell "G3" out of order`)
}

// TestBookBits: a workbook with any one bit changed is refused or read as it was,
// never otherwise. The long suite changes every bit.
func TestBookBits(t *testing.T) {
	path := filepath.Join(t.TempDir(), "good.xlsx")
	writeBook(t, path, false, bookCells())
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	every := 499
	if long() {
		every = 1
	}
	for name, whole := range map[string]string{"as excelize writes it": string(b), "raw": packedParts(t, rawBook(rawRow))} {
		_, want := readBook(t, whole)
		require.NotEmpty(t, want)
		refused := 0
		for bit := 0; bit < 8*len(whole); bit += every {
			bad := []byte(whole)
			bad[bit/8] ^= 1 << (bit % 8)
			f, got := readBook(t, string(bad))
			if f.Outcome != WasRead {
				refused++
				require.Empty(t, got, "%s: bit %d", name, bit)
				continue
			}
			require.Equal(t, want, got, "%s: bit %d", name, bit)
		}
		require.Positive(t, refused, name)
	}
}
