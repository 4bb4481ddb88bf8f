package ingest

import (
	"context"
	"fmt"
	"maps"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/ingest/ids"
)

// shapedIDs are ids of a shape each for serials and analyzers.
func shapedIDs(t require.TestingT, aliases ...ids.Alias) IDs {
	serial, err := ids.NewRules([]string{"BX-00"}, aliases)
	require.NoError(t, err)
	analyzer, err := ids.NewRules([]string{"M-00"}, nil)
	require.NoError(t, err)
	return IDs{Serial: serial, Analyzer: analyzer}
}

func TestSpellingsOfADeclaredID(t *testing.T) {
	o := readingsFolder(t, nil, readingsFile(
		"A1,bx 7,2023-02-06,annual,T1,m1,high,found-so,9.1,4.9,17,181,19",
		"A2,BX-07,2023-02-07,annual,T1,M-01,high,found-so,9.1,4.9,17,181,19",
		"A3,K7,2023-02-08,annual,T1,M-01,high,found-so,9.1,4.9,17,181,19",
		"A4,BX-7a,2023-02-08,annual,T1,M-01,high,found-so,9.1,4.9,17,181,19",
		"A5,bx7,2023-02-30,annual,T1,M-01,high,found-so,9.1,4.9,17,181,19"))
	o.IDs = shapedIDs(t, ids.Alias{Written: "K7", ID: "bx7", Place: "serials.csv:2"})
	r, w := readInto(t, o)
	assert.Equal(t, []string{
		"2 read serial=BX-07 analyzer=M-01", "3 read serial=BX-07 analyzer=M-01", "4 read serial=BX-07 analyzer=M-01",
		"5 read serial=BX-7a analyzer=M-01", "6 aside impossible-date",
	}, fate(r.Files[0], w, "record.visits", "serial", "analyzer"))
	assert.Equal(t, []string{
		"2 read marks=serial:shape analyzer:shape", "3 read", "4 read marks=serial:alias", "5 read",
		"6 aside impossible-date",
	},
		fate(r.Files[0], w, "record.readings", "marks"))
	assert.Equal(t, "BX-07", w["source.set_aside"][0]["serial"])
	assert.Equal(t, "BX-07", w["source.unused_co"][0]["serial"])
	assert.Contains(t, r.Files[0].Message, "serial written otherwise in 2 lines (2 spellings, the first bx 7 for BX-07 in line 2)")
	assert.Contains(t, r.Files[0].Message, "analyzer written otherwise in 1 line (1 spelling, the first m1 for M-01 in line 2)")
}

func TestShapesThatJoinBoilersOfARegisterAreAnError(t *testing.T) {
	header := "Serial,Input MBH,Installed,Vent in,Vent ft,Elbows,Intake ft,Lat,Fuel,Contract"
	rest := ",1000,2016-05-10,6,20,3,15,40.1,NG,"
	o := folder(t, map[string]string{
		"register.toml": registerLayout, "units_2024-03-01.csv": asLines(header, "BX-07"+rest, "BX-08"+rest, "BX7"+rest),
	})
	o.IDs = shapedIDs(t)
	_, err := read(context.Background(), fakeWarehouse{}, o)
	joined := new(JoinedError)
	require.ErrorAs(t, err, &joined)
	require.ErrorContains(t, err, `units_2024-03-01.csv: lines 2 and 4: the register has "BX-07" and "BX7"`)

	// An alias says that they are one; one spelling on two lines says it itself.
	o.IDs = shapedIDs(t, ids.Alias{Written: "BX7", ID: "BX-07", Place: "serials.csv:2"})
	readInto(t, o)
	o = folder(t, map[string]string{
		"register.toml": registerLayout, "units_2024-03-01.csv": asLines(header, "BX7"+rest, "BX7"+rest),
		"units_2025-03-01.csv": asLines(header, "BX-07"+rest),
	})
	o.IDs = shapedIDs(t)
	_, w := readInto(t, o)
	require.Len(t, w["record.units"], 3)
	require.Equal(t, w["record.units"][0]["key_hash"], w["record.units"][2]["key_hash"], "another spelling a year later is the boiler")
}

func TestAnalyzerOfTheTechnician(t *testing.T) {
	o := readingsFolder(t, nil, readingsFile(
		"A1,BX-07,2023-02-06,annual,T1,,high,found-so,9.1,4.9,17,181,19",
		"A2,BX-07,2023-02-07,annual,T1,M9,high,found-so,9.1,4.9,17,181,19",
		"A3,BX-07,2023-02-08,annual,T1,,high,found-so,9.1,4.9,17,181,19",
		"A4,BX-07,2023-02-08,annual,,,high,found-so,9.1,4.9,17,181,19"))
	o.IDs = shapedIDs(t)
	users, err := ids.ReadUsers("who.csv", []byte("technician,to,analyzer\nT1,2023-02-07,m1\n"), o.IDs.Analyzer)
	require.NoError(t, err)
	want := []string{"2 read analyzer=M-01", "3 read analyzer=M-09", "4 read", "5 read"}
	o.IDs.Users = users
	r, w := readInto(t, o)
	assert.Equal(t, want, fate(r.Files[0], w, "record.visits", "analyzer"))

	assert.Equal(t, []string{"2 read marks=analyzer:technicians", "3 read marks=analyzer:shape", "4 read", "5 read"},
		fate(r.Files[0], w, "record.readings", "marks"))

	o.Technician = func(code string) string { return "T-" + strings.ToUpper(strings.Repeat(code, 2)) }
	o.IDs.Users = users.As(o.Technician)
	r, w = readInto(t, o)
	assert.Equal(t, want, fate(r.Files[0], w, "record.visits", "analyzer"), "under a pseudonym too")
}

// However the ids of a fleet are written within their declared shapes, in whatever order
// its files are read: the records are those of the ids written right, but for marks.
func TestSpellingsChangeNoRecord(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var right, other []string
		for i := range rapid.IntRange(1, 6).Draw(rt, "rows") {
			row := func(serial, analyzer string) string {
				return fmt.Sprintf("A%d,%s,2023-02-06,annual,T1,%s,high,found-so,9.1,%s,17,181,19", i/2, serial, analyzer,
					[]string{"4.9", "5.1", "x"}[i%3])
			}
			b, m := rapid.IntRange(1, 12).Draw(rt, "boiler"), rapid.IntRange(1, 3).Draw(rt, "analyzer")
			spelt := func(letters string, n int) string {
				s := rapid.SampledFrom([]string{"%s-%02d", "%s%d", "%s %d", "%s-%d", "%s/%04d"}).Draw(rt, "spelling")
				if s = fmt.Sprintf(s, letters, n); rapid.Bool().Draw(rt, "small") {
					return strings.ToLower(s)
				}
				return s
			}
			right = append(right, row(fmt.Sprintf("BX-%02d", b), fmt.Sprintf("M-%02d", m)))
			other = append(other, row(spelt("BX", b), spelt("M", m)))
		}
		one, two := "tests_1.csv", "tests_2.csv"
		if rapid.Bool().Draw(rt, "order") {
			one, two = two, one
		}
		cut := len(right) / 2
		records := func(rows []string, one, two string) map[string]int {
			o := folder(t, map[string]string{
				"tests.toml": readingsLayout(nil), one: readingsFile(rows[:cut]...), two: readingsFile(rows[cut:]...),
			})
			o.IDs = shapedIDs(rt)
			r, w := readInto(t, o)
			all := map[string]int{}
			for _, f := range r.Files {
				require.Equal(rt, f.Lines, f.Header+f.Parsed+f.SetAside)
			}
			for _, name := range []string{"record.visits", "record.readings", "source.set_aside"} {
				for _, row := range w[name] {
					row = maps.Clone(row)
					for _, gone := range []string{"marks", "raw", "file_key", "visit_row"} {
						delete(row, gone)
					}
					all[name+" "+row.show()]++
				}
			}
			return all
		}
		require.Equal(rt, records(right, "tests_1.csv", "tests_2.csv"), records(other, one, two))
	})
}
