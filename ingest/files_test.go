package ingest

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
	"unicode/utf16"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const goodRow = "A1,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,19"

// goodRowWith is the good row with the first of each text replaced by the next.
func goodRowWith(pairs ...string) string {
	row := goodRow
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(row, pairs[i]) {
			panic(fmt.Sprintf("no %q in %s", pairs[i], row))
		}
		row = strings.Replace(row, pairs[i], pairs[i+1], 1)
	}
	return row
}

func byName(r Result) map[string]File {
	all := map[string]File{}
	for _, f := range r.Files {
		all[f.Name] = f
	}
	return all
}

// TestEntriesOfTheFolder: what is no file is listed with a reason, what no
// layout names is not ours, dot files and layouts are left out, and odd names
// are names like others.
func TestEntriesOfTheFolder(t *testing.T) {
	good := readingsFile(goodRow)
	o := folder(t, map[string]string{
		"tests.toml": readingsLayout(nil), "tests.csv": good, "sub/tests 2.csv": good + goodRow + "\n", "tests[1]*?.csv": readingsFile(),
		"notes.txt": "x", ".hidden.csv": "x", "tests_zero.csv": "", "tests_dir.csv/tests_in.csv": readingsFile("", goodRow),
	})
	require.NoError(t, os.Symlink(o.Folder, filepath.Join(o.Folder, "loop")))
	require.NoError(t, os.Symlink("nowhere", filepath.Join(o.Folder, "tests_gone.csv")))
	require.NoError(t, syscall.Mkfifo(filepath.Join(o.Folder, "tests_pipe.csv"), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(o.Folder, "-tests.csv"), []byte("x"), 0o600))
	r, _ := readInto(t, o)
	want := map[string]string{
		"tests.csv": WasRead, "sub/tests 2.csv": WasRead, "tests[1]*?.csv": WasRead, "notes.txt": NotOurs, "-tests.csv": NotOurs,
		"tests_zero.csv": Refused,
		"loop":           Skipped, "tests_gone.csv": Skipped, "tests_pipe.csv": Skipped, "tests_dir.csv": Skipped,
		"tests_dir.csv/tests_in.csv": WasRead,
	}
	got := map[string]string{}
	for i, f := range r.Files {
		got[f.Name] = f.Outcome
		if f.Outcome != WasRead {
			assert.NotEmpty(t, f.Message, f.Name)
		}
		if i > 0 {
			assert.Less(t, r.Files[i-1].Name, f.Name, "files come in order of their names")
		}
	}
	assert.Equal(t, want, got)
	assert.Contains(t, byName(r)["tests[1]*?.csv"].Message, "no rows")
}

func TestSameBytes(t *testing.T) {
	o := folder(t, map[string]string{
		"tests.toml": readingsLayout(nil), "tests a.csv": readingsFile(goodRow), "tests b.csv": readingsFile(goodRow),
	})
	r, w := readInto(t, o)
	assert.Equal(t, []string{WasRead, SameBytes}, outcomes(r))
	assert.Contains(t, r.Files[1].Message, `"tests a.csv"`)
	assert.Len(t, w["record.readings"], 1)
}

func TestTwoLayouts(t *testing.T) {
	other := strings.Replace(readingsLayout(nil), `"tests"`, `"others"`, 1)
	r, w := readInto(t, folder(t, map[string]string{"a.toml": readingsLayout(nil), "b.toml": other, "tests.csv": readingsFile(goodRow)}))
	assert.Equal(t, "refused two-layouts", fate(r.Files[0], w, "")[0])
	assert.Contains(t, r.Files[0].Message, `"tests", "others"`)
}

// TestColumnsTellLayoutsApart: two layouts with one name pattern, told apart by
// the columns they ask for.
func TestColumnsTellLayoutsApart(t *testing.T) {
	match := func(name, column string) string {
		s := strings.Replace(readingsLayout(nil), `"tests"`, fmt.Sprintf("%q", name), 1)
		return strings.Replace(s, `names = ["tests*.csv"]`, fmt.Sprintf("names = [\"tests*.csv\"]\ncolumns = [%q]", column), 1)
	}
	r, _ := readInto(t, folder(t, map[string]string{
		"a.toml": match("with site", "Site"), "b.toml": match("with lead", "lead"),
		"tests_a.csv": asLines("Site,"+readingsHeader, "x,"+goodRow), "tests_b.csv": asLines("Lead,"+readingsHeader, "x,"+goodRow),
		"tests_c.csv": readingsFile(),
	}))
	assert.Equal(t, []string{"with site", "with lead"}, []string{r.Files[0].Layout, r.Files[1].Layout})
	assert.Equal(t, "missing-column", r.Files[2].Reason)
}

func TestEncodings(t *testing.T) {
	text := readingsFile("A1,BX-7,2023-02-06,annual,Jürg é,M1,high,found-so,9.1,4.9,17,181 °C,19")
	utf16s := func(big bool, mark bool) string {
		units := utf16.Encode([]rune(text))
		if mark {
			units = append([]uint16{0xFEFF}, units...)
		}
		var b []byte
		for _, u := range units {
			if big {
				b = append(b, byte(u>>8), byte(u))
			} else {
				b = append(b, byte(u), byte(u>>8))
			}
		}
		return string(b)
	}
	for _, c := range []struct{ encoding, bytes, reason string }{
		{"utf-8", text, ""},
		{"utf-8", "\xef\xbb\xbf" + text, ""},
		{"windows-1252", latin(text), ""},
		{"latin-1", latin(text), ""},
		{"utf-16le", utf16s(false, true), ""},
		{"utf-16le", utf16s(false, false), ""},
		{"utf-16be", utf16s(true, true), ""},
		{"utf-16be", utf16s(true, false), ""},
		{"utf-16le", utf16s(true, true), "wrong-encoding"},
		{"utf-8", utf16s(false, true), "wrong-encoding"},
		{"utf-8", utf16s(false, false), "not-a-text-file"},
		{"utf-8", latin(text), "wrong-encoding"},
		{"windows-1252", "\xef\xbb\xbf" + text, "wrong-encoding"},
		{"latin-1", strings.Replace(latin(text), "Jürg", "J\x84rg", 1) + "\x85", "wrong-encoding"},
	} {
		text := readingsLayout(fileKeys{"encoding": fmt.Sprintf("%q", c.encoding)})
		r, w := readInto(t, folder(t, map[string]string{"tests.toml": text, "tests.csv": c.bytes}))
		assert.Equal(t, c.reason, r.Files[0].Reason, "%s %q", c.encoding, c.bytes[:20])
		if c.reason == "" {
			assert.Equal(t, "technician=Jürg é", w["record.visits"][0].show("technician"), c.encoding)
		}
	}
}

// TestMessages: a refusal names the line to look at.
func TestMessages(t *testing.T) {
	for text, want := range map[string]string{
		readingsFile(goodRow, `A1,BX-7,2023-02-06,annual,"T1,M1`, goodRow): "line 3",
		readingsFile(goodRow, "J\xfcrg"):                                   "line 3",
		readingsHeader + "\n" + goodRow:                                    "last line",
	} {
		r, _ := readInto(t, folder(t, map[string]string{"tests.toml": readingsLayout(nil), "tests.csv": text}))
		assert.Contains(t, r.Files[0].Message, want)
	}
	r, _ := readInto(t, folder(t, map[string]string{
		"tests.toml": readingsLayout(fileKeys{"dates": `"dd/mm/yyyy"`}),
		"tests.csv":  readingsFile(goodRowWith("2023-02-06", "02/26/2023")),
	}))
	assert.Contains(t, r.Files[0].Message, `dd/mm/yyyy`)
	assert.Contains(t, r.Files[0].Message, `"02/26/2023" in line 2`)
}

// TestGrowingFile: a file that is longer at the second look waits, the others
// are read.
func TestGrowingFile(t *testing.T) {
	o := folder(t, map[string]string{
		"tests.toml": readingsLayout(nil), "tests_a.csv": readingsFile(goodRow), "tests_b.csv": readingsFile(goodRow, goodRow),
	})
	o.Now, o.Settle = time.Now(), 200*time.Millisecond
	grow := filepath.Join(o.Folder, "tests_b.csv")
	go func() {
		time.Sleep(50 * time.Millisecond)
		f, err := os.OpenFile(grow, os.O_APPEND|os.O_WRONLY, 0)
		if err == nil {
			_, _ = f.WriteString(goodRow + "\n")
			_ = f.Close()
		}
	}()
	r, w := readInto(t, o)
	assert.Equal(t, []string{WasRead, Incomplete}, outcomes(r))
	assert.Len(t, w["record.readings"], 1)
}

func TestLoadErrorEndsTheRun(t *testing.T) {
	o := folder(t, map[string]string{"tests.toml": readingsLayout(nil), "tests.csv": readingsFile(goodRow)})
	_, err := read(context.Background(), loads(func(context.Context, string, arrow.Record) error { return fmt.Errorf("disk full") }), o)
	assert.ErrorContains(t, err, "disk full")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = read(ctx, fakeWarehouse{}, o)
	assert.ErrorIs(t, err, context.Canceled)
	o.Folder += "/none"
	_, err = read(context.Background(), fakeWarehouse{}, o)
	assert.ErrorIs(t, err, os.ErrNotExist)
}

// TestExportDay: the day of an export by its name, by a column (the latest day
// in it), or unknown; it bounds the days of the records.
func TestExportDay(t *testing.T) {
	late := goodRowWith("2023-02-06", "2023-02-08")
	for _, c := range []struct{ export, name, day, reason string }{
		{"from = \"name\"\npattern = \"yyyy-mm-dd\"", "tests 2023-02-07.csv", "2023-02-07", ""},
		{"from = \"name\"\npattern = \"yyyymmdd\"", "tests 2023-02-07.csv", "", "convention-contradicted"},
		{"from = \"column\"\ncolumn = \"sent\"", "tests.csv", "2023-02-07", ""},
		{"from = \"column\"\ncolumn = \"Posted\"", "tests.csv", "", "missing-column"},
		{"from = \"unknown\"", "tests.csv", "", ""},
	} {
		o := folder(t, map[string]string{
			"tests.toml": readingsLayout(fileKeys{"export": c.export}),
			c.name:       asLines(readingsHeader+",Sent", goodRow+",2023-02-07", late+",2023-02-06"),
		})
		o.AsOf = mustDay(t, "2023-02-07")
		r, w := readInto(t, o)
		assert.Equal(t, c.reason, r.Files[0].Reason, c.export)
		assert.Equal(t, c.day, w["source.files"][0]["export_day"], c.export)
		if c.day != "" {
			assert.Equal(t, map[string]int64{"future-date": 1}, r.Files[0].Reasons)
		} else if c.reason == "" {
			assert.Equal(t, int64(2), r.Files[0].Parsed, "the day after the as-of day bounds those of an export of unknown day")
			o.AsOf--
			r, _ = readInto(t, o)
			assert.Equal(t, map[string]int64{"future-date": 1}, r.Files[0].Reasons)
		}
	}
}

// TestOptionalColumn: a column declared optional may be absent.
func TestOptionalColumn(t *testing.T) {
	text := readingsLayout(nil) + "[[column]]\nheader = \"Parts\"\nfield = \"parts\"\noptional = true\n"
	r, w := readInto(t, folder(t, map[string]string{
		"tests.toml": text, "tests_a.csv": readingsFile(goodRow), "tests_b.csv": asLines(readingsHeader+",Parts", goodRow+",nozzle"),
	}))
	assert.Equal(t, []string{WasRead, WasRead}, outcomes(r))
	assert.Equal(t, "nozzle", w["record.visits"][1]["parts"])
	assert.Equal(t, "unit=ppm basis=as measured", w["source.columns"][10].show("unit", "basis"))
}

// TestLinkedFolder: an exports folder may be a link to the folder where they lie.
func TestLinkedFolder(t *testing.T) {
	folder, link := t.TempDir(), filepath.Join(t.TempDir(), "exports")
	require.NoError(t, os.WriteFile(filepath.Join(folder, "a.csv"), []byte("a\n1\n"), 0o600))
	require.NoError(t, os.Mkdir(filepath.Join(folder, "layouts"), 0o700))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "layouts", "a.csv"), []byte("a\n1\n"), 0o600))
	require.NoError(t, os.Symlink(folder, link))
	all, err := find(link, filepath.Join(link, "layouts"))
	require.NoError(t, err)
	require.Len(t, all, 1)
	require.Equal(t, "a.csv", all[0].name)
}
