package ingest

import (
	"context"
	"fmt"
	"math/rand/v2"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// hashes are the columns by which rows are compared across files.
var hashes = []string{"occurrence", "key_hash", "content_hash"}

// TestKeysAndContents: the key of a reading is visit, serial, fire, rate and
// condition; a repeat keeps the occurrence of the line it repeats.
func TestKeysAndContents(t *testing.T) {
	text := readingsFile(
		"A1,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
		"A1,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.10,4.9,17,181.0,19", // equal values
		"A1,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.2,4.9,17,181,19",    // another reading of the same key
		"A1,BX-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
		"A1,BX-7,2023-02-06,annual,T1,M1,low,found-so,9.1,4.9,17,181,19",
		"A2,BX-7,2023-02-06,annual,T1,M2,high,found-so,9.1,4.9,17,181,19",
		"A1,bx-7,2023-02-06,annual,T1,M1,high,found-so,9.1,4.9,17,181,19",
		"A1,BX-7,2023-02-06,annual,T1,M9,high,left-so,9.1,4.9,17,181,19")
	_, w := readInto(t, folder(t, map[string]string{"tests.toml": readingsLayout(nil), "tests.csv": text}))
	rows := w["record.readings"]
	require.Len(t, rows, 8)
	same := func(column string, a, b int) bool { return rows[a][column] == rows[b][column] }
	assert.True(t, same("key_hash", 0, 1) && same("content_hash", 0, 1) && same("key_hash", 0, 3))
	assert.Equal(t, []string{"0", "0", "1", "0"}, []string{
		rows[0]["occurrence"], rows[1]["occurrence"], rows[2]["occurrence"],
		rows[3]["occurrence"],
	})
	keys := map[string]bool{}
	for _, i := range []int{0, 2, 4, 5, 6, 7} {
		keys[rows[i]["key_hash"]] = true
	}
	assert.Len(t, keys, 6, "occurrence, fire, visit, serial and condition tell keys apart")
	assert.Equal(t, "", rows[0]["analyzer"], "the visit's")
	assert.Equal(t, "M9", rows[7]["analyzer"], "not the visit's")
	assert.Len(t, w["record.visits"], 3)
}

// TestCorrection: a later export of the same line has the same key and another
// content, whatever columns the rest of the file has.
func TestCorrection(t *testing.T) {
	_, w := readInto(t, folder(t, map[string]string{
		"tests.toml":  readingsLayout(nil),
		"tests_1.csv": readingsFile(goodRowWith("9.1", "19.1")),
		"tests_2.csv": asLines(readingsHeader+",Note", goodRow+",typed again"),
	}))
	rows := w["record.readings"]
	require.Len(t, rows, 2)
	assert.Equal(t, rows[0]["key_hash"], rows[1]["key_hash"])
	assert.NotEqual(t, rows[0]["content_hash"], rows[1]["content_hash"])
}

// TestOrderOfFilesMakesNoDifference: the rows of a file are the same, keys of
// files and visits aside, whatever stands before it in the folder.
func TestOrderOfFilesMakesNoDifference(t *testing.T) {
	texts := []string{
		readingsFile(goodRow, "A9,BX-9,2023-02-06,annual,T1,M1,low,found-so,8.1,4.9,17,181,19"),
		readingsFile(goodRowWith("9.1", "9.3"), "bad line"),
		readingsFile(goodRowWith("A1", "A5"), "", "Total,,,,,,,,,,,,"),
		"",
	}
	perFile := func(order []int) []string {
		files := map[string]string{"tests.toml": readingsLayout(nil)}
		for place, i := range order {
			files[fmt.Sprintf("tests_%d.csv", place)] = texts[i]
		}
		r, w := readInto(t, folder(t, files))
		var all []string
		for _, f := range r.Files {
			columns := append([]string{"fire", "co2_percent"}, hashes...)
			all = append(all, f.Outcome+f.Reason+strings.Join(fate(f, w, "record.readings", columns...), "|"))
		}
		sort.Strings(all)
		return all
	}
	want := perFile([]int{0, 1, 2, 3})
	rnd := rand.New(rand.NewPCG(1, 1))
	for range 8 {
		assert.Equal(t, want, perFile(rnd.Perm(len(texts))))
	}
}

// FuzzFile: whatever the bytes, the run ends without a panic or an error, the
// file has one outcome, and the lines of a file that is read add up.
func FuzzFile(f *testing.F) {
	for _, s := range []string{
		readingsFile(goodRow), readingsFile(goodRow, "", "Total"), readingsHeader + "\r\n" + goodRow, "\"", "\xff\xfe",
		"PK\x03\x04", readingsFile(`A1,"a`, `b",c`), readingsFile(`A1,"a\"`, `b\\",c\`),
	} {
		for which := range byte(4) {
			f.Add(s, which)
		}
	}
	f.Fuzz(func(t *testing.T, text string, which byte) {
		keys := fileKeys{}
		if which&1 != 0 {
			keys["last_line"] = `"any"`
		}
		if which&2 != 0 {
			keys["escape"] = `"\\"`
		}
		if which&4 != 0 {
			keys["encoding"] = []string{`"latin-1"`, `"windows-1252"`, `"utf-16le"`, `"utf-16be"`}[which>>3%4]
		}
		o := folder(t, map[string]string{"tests.toml": readingsLayout(keys), "tests.csv": text})
		r, err := read(context.Background(), fakeWarehouse{}, o)
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Files) != 1 || r.Files[0].Outcome == "" {
			t.Fatalf("%q: no outcome", text)
		}
	})
}
