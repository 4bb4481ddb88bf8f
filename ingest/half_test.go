package ingest

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/ingest/layout"
	"fluedrift/queries"
)

// byFire is a layout of which a column says the fire, and the headers the condition.
const byFire = "name = \"w\"\nrecord = \"readings\"\nform = \"wide\"\nsource = \"w\"\n[match]\nnames = [\"w*.csv\"]\n" +
	"[[column]]\nheader = \"No\"\nfield = \"serial\"\n[[column]]\nheader = \"Day\"\nfield = \"day\"\n" +
	"[[column]]\nheader = \"Fire\"\nfield = \"fire\"\n[[column]]\nheader = \"Adjusted\"\nfield = \"adjusted\"\n" +
	"[[column]]\nheader = \"Found CO2\"\nfield = \"co2\"\ncondition = \"as found\"\n" +
	"[[column]]\nheader = \"Left CO2\"\nfield = \"co2\"\ncondition = \"as left\"\n" +
	"[[column]]\nheader = \"Left CO\"\nfield = \"co\"\ncondition = \"as left\"\n"

// TestHalfInTheHeader: rows of before and after a visit's adjustment are its readings, and
// so are rows of its fires; the visit is one in the warehouse, and adjusted where one says so.
func TestHalfInTheHeader(t *testing.T) {
	e := exampleOf(t, "wide_half")
	o := folder(t, map[string]string{
		"a.toml": e.Layout, e.Named: e.File, "b.toml": byFire,
		"w1.csv": asLines("No,Day,Fire,Adjusted,Found CO2,Left CO2,Left CO", "7311,2024-03-26,high,yes,9.4,9.0,30",
			"7311,2024-03-26,low,no,8.6,,"),
	})
	r, w := build(t, o, mustDay(t, "2024-06-01"))
	assert.EqualValues(t, []int64{2, 2}, []int64{r.Files[0].Parsed, r.Files[1].Parsed})
	assert.EqualValues(t, []int64{4, 3}, []int64{r.Files[0].Readings, r.Files[1].Readings})
	assert.Equal(t, []string{
		"7310 high as found 9.4 ", "7310 high as left 9.0 ", "7310 low as found 8.9 ", "7310 low as left 8.5 ",
		"7311 high as found 9.4 yes", "7311 high as left 9.0 yes", "7311 low as found 8.6 no",
	}, joinedReadings(t, w))
	assert.Equal(t, "2", rowsOf(t, w, "select count(*) from joined.visits")[0])
}

// rowsOf are the answers to a question of one column.
func rowsOf(t *testing.T, w *queries.Warehouse, statement string) (all []string) {
	t.Helper()
	a, err := w.Ask(context.Background(), statement, queries.Limits{Rows: 1000, Time: time.Minute})
	require.NoError(t, err)
	for _, r := range a.Rows {
		all = append(all, r[0].Text)
	}
	return all
}

// joinedReadings are the readings of a warehouse with whether the burner was adjusted.
func joinedReadings(t *testing.T, w *queries.Warehouse) []string {
	t.Helper()
	return rowsOf(t, w, "select concat_ws(' ', u.serial, r.fire, r.condition, r.co2_percent, coalesce(r.adjusted::varchar, '')) "+
		"from joined.readings r join joined.units u using (unit_key) order by u.serial, r.fire, r.condition")
}

// TestHalfIsBlank: a row that measures something and does not say its half is set aside,
// its CO kept; one that measures nothing is a visit. An unknown word names the codes.
func TestHalfIsBlank(t *testing.T) {
	r, w := readInto(t, folder(t, map[string]string{"b.toml": byFire, "w1.csv": asLines("No,Day,Fire,Adjusted,Found CO2,Left CO2,Left CO",
		"7311,2024-03-26,,yes,9.4,9.0,450", "7312,2024-03-26,,no,,,", "7313,2024-03-26,top,no,9.1,,", "7314,2024-03-26,low,,9,,x")}))
	f := r.Files[0]
	assert.EqualValues(t, []int64{2, 2, 1}, []int64{f.SetAside, f.Parsed, f.Readings}, "%v", f.Reasons)
	assert.Equal(t, "line=2 column_name=Fire reason=blank-required serial=7311",
		w["source.set_aside"][0].show("line", "column_name", "reason", "serial"))
	assert.Contains(t, fmt.Sprint(w["source.set_aside"][1]["message"]), `"top"`)
	assert.Equal(t, "co_ppm=450 condition=as left", w["source.unused_co"][0].show("co_ppm", "condition"))
	assert.Equal(t, "line=5 fire=low condition=as left", w["source.cells_set_aside"][0].show("line", "fire", "condition"))
}

// TestHalfLayouts: what a layout may not say of halves, by line and with what to do.
func TestHalfLayouts(t *testing.T) {
	for _, c := range []struct{ from, to, want string }{
		{"field = \"fire\"\n", "ignore = true\n", "x.toml:19: column \"Found CO2\": it has no fire\nadd fire = \"high\", or one of high, middle"},
		{
			"condition = \"as left\"\n", "condition = \"as left\"\nfire = \"high\"\n",
			"x.toml:23: column \"Left CO2\": other columns of CO2 and O2 " +
				"leave the fire to a column of the file\nlet all of them do so, or none",
		},
		{"field = \"adjusted\"\n", "field = \"condition\"\n", "column \"Adjusted\": the columns of CO2 and O2 say the condition themselves"},
	} {
		_, err := layout.Parse("x.toml", strings.Replace(byFire, c.from, c.to, 1))
		require.ErrorContains(t, err, c.want)
	}
}

// TestHalfPreservesReadings: rows of halves give the readings that the same cells give in the
// long form, in whatever order the rows come, and every line has its one outcome.
func TestHalfPreservesReadings(t *testing.T) {
	var long strings.Builder
	long.WriteString("name = \"w\"\nrecord = \"readings\"\nsource = \"w\"\n[match]\nnames = [\"w*.csv\"]\n")
	for _, f := range []string{"serial", "day", "fire", "condition", "co2"} {
		long.WriteString(fmt.Sprintf("[[column]]\nheader = %q\nfield = %q\n", f, f))
	}
	rapid.Check(t, func(rt *rapid.T) {
		gas := rapid.SampledFrom([]string{"", "9.1", "8.4", "x"})
		fires := rapid.SampledFrom([]string{"high", "low", "single", ""})
		wide, tall := []string{}, []string{"serial,day,fire,condition,co2"}
		for i := range rapid.IntRange(1, 6).Draw(rt, "rows") {
			fire, found, left := fires.Draw(rt, "fire"), gas.Draw(rt, "found"), gas.Draw(rt, "left")
			wide = append(wide, fmt.Sprintf("S%d,2024-03-26,%s,,%s,%s,", i, fire, found, left))
			for condition, v := range map[string]string{"as found": found, "as left": left} {
				if whole := found != "x" && left != "x" || fire != ""; v != "" && v != "x" && fire != "" && whole {
					tall = append(tall, fmt.Sprintf("S%d,2024-03-26,%s,%s,%s", i, fire, condition, v))
				}
			}
		}
		rows := rapid.Permutation(wide).Draw(rt, "order")
		half, w := readInto(t, folder(t, map[string]string{"b.toml": byFire, "w1.csv": asLines(append([]string{
			"No,Day,Fire,Adjusted,Found CO2,Left CO2,Left CO",
		}, rows...)...)}))
		_, want := readInto(t, folder(t, map[string]string{"b.toml": long.String(), "w1.csv": asLines(tall...)}))
		f := half.Files[0]
		if f.Lines != f.Header+f.Blank+f.Skipped+f.SetAside+f.Parsed {
			rt.Fatalf("%+v", f)
		}
		if got, want := placed(w), placed(want); !slices.Equal(got, want) {
			rt.Fatalf("%v\n%v", got, want)
		}
	})
}

// placed are the readings that were stored, with their boilers.
func placed(w fakeWarehouse) (all []string) {
	serials := map[string]string{}
	for _, v := range w["record.visits"] {
		serials[fmt.Sprint(v["visit_row"])] = fmt.Sprint(v["serial"])
	}
	for _, r := range w["record.readings"] {
		all = append(all, serials[fmt.Sprint(r["visit_row"])]+" "+r.show("fire", "condition", "co2_percent"))
	}
	slices.Sort(all)
	return all
}
