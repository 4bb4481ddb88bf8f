package ingest

import (
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/ingest/lines"
	"fluedrift/queries"
)

// joinFolder has the layouts of the worked example, with further lines in that of the
// table, and these files.
func joinFolder(t *testing.T, table string, files map[string]string) Options {
	t.Helper()
	e := exampleOf(t, "join")
	all := map[string]string{"details.toml": e.Layout, "visits.toml": e.Beside["visits.toml"] + table}
	maps.Copy(all, files)
	return folder(t, all)
}

const visitsHeader, detailsHeader = "visit,boiler,day,state", "visit,fire,state,co2"

// TestJoin: what becomes of details and of the rows they are joined to.
func TestJoin(t *testing.T) {
	table := "[[step]]\ndo = \"leave_out\"\ncolumn = \"state\"\nvalues = [\"void\"]\n"
	visits := asLines(visitsHeader, "1,B-1,2024-03-25,", "2,B-2,2024-03-26,void", "3,B-3,2024-03-27,", "3,B-3,2024-03-27,",
		"4,B-4,2024-03-28,",
		"4,B-4,2024-03-29,", "5,B-5", "", "7,B-7,2024-03-28,")
	details := asLines(detailsHeader, "1,high,as found,9.1", "2,high,as found,9.2", "3,high,as found,9.3", "4,high,as found,9.4",
		"5,high,as found,9.5", "6,high,as found,9.6", ",high,as found,9.7", "1,low,as found,8.7")
	var all [][]string
	for _, name := range []string{"details_1.csv", "details_x.csv"} { // before and behind the table
		r, w := readInto(t, joinFolder(t, table, map[string]string{strings.Replace(name, "_x", "_2", 1): details, "visits_1.csv": visits}))
		f := byName(r)[strings.Replace(name, "_x", "_2", 1)]
		assert.Equal(t, []string{
			"2 read co2_percent=9.1", "4 read co2_percent=9.3", "5 aside several-rows-of-one-key", "6 aside blank-required",
			"7 aside blank-required", "8 aside blank-required", "9 read co2_percent=8.7",
		}, fate(f, w, "record.readings", "co2_percent"))
		assert.Equal(t, []int64{9, 1, 1, 4, 3}, []int64{f.Lines, f.Header, f.Skipped, f.SetAside, f.Parsed})
		assert.Equal(t, map[string]int64{`its row of visits is left out, state is "void"`: 1}, f.Left)
		assert.Contains(t, f.Message, "3 rows have no row of visits: the first \"5\" in line 6")
		v := byName(r)["visits_1.csv"]
		assert.Equal(t, []int64{10, 1, 1, 1, 1, 0, 6}, []int64{v.Lines, v.Header, v.Blank, v.Skipped, v.SetAside, v.Parsed, v.Joined}, v.Message)
		assert.Contains(t, w["source.set_aside"][0]["message"], "visits_1.csv:6 and visits_1.csv:7")
		all = append(all, stored(w))
	}
	assert.Equal(t, all[0], all[1])
}

// TestLaterTableStands: of several exports of a table, the later row of a key counts.
func TestLaterTableStands(t *testing.T) {
	table := "[export_day]\nfrom = \"name\"\npattern = \"yyyy-mm-dd\"\n"
	_, w := readInto(t, joinFolder(t, table, map[string]string{
		"details_1.csv": asLines(detailsHeader, "1,high,as found,9.1"), "visits_2024-06-01.csv": asLines(visitsHeader, "1,B-2,2024-03-25,"),
		"visits_2024-05-01.csv": asLines(visitsHeader, "1,B-1,2024-03-25,"),
	}))
	assert.Equal(t, "serial=B-2", w["record.visits"][0].show("serial"))
}

// TestJoinRefused: details whose table is not there, or cannot be read, are refused.
func TestJoinRefused(t *testing.T) {
	details := asLines(detailsHeader, "1,high,as found,9.1")
	for visits, says := range map[string]string{
		"":                          "no file of it is there",
		"visit,boiler\n1,B-1\n":     "visits_1.csv, which a step joins, cannot be read: not in the header: \"day\"",
		visitsHeader + "\n1,B-1,20": "visits_1.csv, which a step joins, cannot be read: the last line has no line end",
	} {
		files := map[string]string{"details_1.csv": details}
		if visits != "" {
			files["visits_1.csv"] = visits
		}
		r, w := readInto(t, joinFolder(t, "", files))
		f := byName(r)["details_1.csv"]
		assert.NotEqual(t, WasRead, f.Outcome)
		assert.Contains(t, f.Message, says)
		assert.Empty(t, w["record.readings"])
	}
	o := joinFolder(t, "", map[string]string{"details_1.csv": details, "visits_1.csv": asLines(visitsHeader, "1,B-1,2024-03-25,")})
	o.Limits.FileBytes = 5
	r, _ := readInto(t, o)
	assert.Equal(t, lines.TooLarge, byName(r)["details_1.csv"].Reason)
}

// TestJoinIsTheInverse: rows cut into visits and details, and joined again, give the
// records of the rows as they were, whatever the order of each.
func TestJoinIsTheInverse(t *testing.T) {
	flat := strings.Replace(exampleOf(t, "join").Layout,
		"[[step]]\ndo = \"join\"\ntable = \"visits\"\nby = [\"visit\"]\ntake = [\"boiler\", \"day\"]\n", "", 1)
	rapid.Check(t, func(rt *rapid.T) {
		visits := rapid.SliceOfN(rapid.IntRange(1, 9), 1, 5).Draw(rt, "visits")
		var rows, masters, details []string
		for i, boiler := range visits {
			day := fmt.Sprintf("2024-03-%02d", 10+i)
			masters = append(masters, fmt.Sprintf("%d,B-%d,%s,", i, boiler, day))
			for n, fire := range []string{"high", "low"}[:rapid.IntRange(1, 2).Draw(rt, "fires")] {
				rows = append(rows, fmt.Sprintf("%d,B-%d,%s,%s,as found,9.%d", i, boiler, day, fire, n))
				details = append(details, fmt.Sprintf("%d,%s,as found,9.%d", i, fire, n))
			}
		}
		masters = rapid.Permutation(masters).Draw(rt, "order")
		_, want := readInto(t, folder(t, map[string]string{
			"flat.toml": flat, "details_1.csv": asLines(append([]string{"visit,boiler,day,fire,state,co2"}, rows...)...),
		}))
		_, got := readInto(t, joinFolder(t, "", map[string]string{
			"details_1.csv": asLines(append([]string{detailsHeader}, details...)...),
			"visits_1.csv":  asLines(append([]string{visitsHeader}, masters...)...),
		}))
		show := func(w fakeWarehouse) (all []string) {
			for _, v := range w["record.visits"] {
				all = append(all, v.show("visit_id", "serial", "day"))
			}
			for _, r := range w["record.readings"] {
				all = append(all, r.show("line", "fire", "condition", "co2_percent", "content_hash", "key_hash"))
			}
			slices.Sort(all)
			return all
		}
		require.Equal(rt, show(want), show(got))
	})
}

// TestTableInAWarehouse: a table is no kind of record, and its lines add up.
func TestTableInAWarehouse(t *testing.T) {
	o := joinFolder(t, "", map[string]string{
		"details_1.csv": asLines(detailsHeader, "1,high,as found,9.1"), "visits_1.csv": asLines(visitsHeader, "1,B-1,2024-03-25,"),
	})
	w, err := queries.Create(t.Context(), filepath.Join(t.TempDir(), "w.duckdb"), queries.Options{Threads: 1})
	require.NoError(t, err)
	defer w.Close()
	_, err = Read(t.Context(), w, o)
	require.NoError(t, err)
	require.NoError(t, w.Build(t.Context(), mustDay(t, "2024-06-01")))
}
