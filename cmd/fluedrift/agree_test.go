package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"html"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/poor"
	"fluedrift/model/day"
)

// What a list says of a unit, its page and the command unit say too, whatever the
// records lack: every variant of the demo with less on record goes from its exports
// to the lists of a night, and each of its units is told again from the warehouse.
// One variant in the normal suite, on few units; all of them in the long one.
func TestListUnitAndPageAgreeOnPoorRecords(t *testing.T) {
	aWholeNight(t)
	for k, v := range poor.All() {
		if !long() && k != 19 {
			continue
		}
		t.Run(v.Name, func(t *testing.T) {
			dir := fastDir(t)
			units, years := min(v.Units, suite(6, 24)), min(v.Years, suite(3, 8))
			require.NoError(t, demo.New(demo.Options{Units: units, Years: years, Seed: 3, AsOf: testAsOf, World: demo.Default()}).Write(dir))
			require.NoError(t, v.Strip(dir))
			config := filepath.Join(dir, "fluedrift.toml")
			code, errs := nightHere(config, testNow)
			require.Contains(t, []settings.Condition{settings.Done, settings.Look}, settings.Condition(code), errs)
			head := agree(t, config, filepath.Join(dir, "lists", "latest"))
			if len(v.Lacks) > 0 { // what fewer units and years leave unmeasured goes by their number
				require.True(t, slices.ContainsFunc(head, func(s string) bool { return strings.Contains(s, v.Says) }), "%q", head)
			}
		})
	}
}

// rowsOf reads a published CSV, a map by column a row.
func rowsOf(t *testing.T, folder, name string) (columns []string, rows []map[string]string) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(folder, name+".csv"))
	require.NoError(t, err)
	all, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	require.NoError(t, err)
	for _, cells := range all[1:] {
		row := map[string]string{}
		for i, c := range cells {
			row[all[0][i]] = c
		}
		rows = append(rows, row)
	}
	return all[0], rows
}

// agree holds the published lists and what is told of their units together, and
// returns the head of the list.
func agree(t *testing.T, config, folder string) []string {
	columns, rows := rowsOf(t, folder, "watchlist")
	require.NotEmpty(t, rows)
	published, err := night.ReadList(folder, "watchlist")
	require.NoError(t, err)
	require.Len(t, published.Rows, len(rows))
	for i, row := range rows {
		for k, name := range columns {
			require.Equal(t, row[name], published.Rows[i][k].String(), "%s of %s in CSV and in JSON", name, row["serial"])
		}
		possibleRow(t, row, len(rows))
	}
	pageAgrees(t, folder, rows)
	headAgrees(t, published.Head, rows)
	coAgrees(t, folder, rows)
	ctx := context.Background()
	c, err := readFlags(unitCommand, []string{"-config", config, "x"}, quietStreams(&bytes.Buffer{}, &bytes.Buffer{}))
	require.NoError(t, err)
	cfg, w, err := openFor(ctx, c)
	require.NoError(t, err)
	defer w.Close()
	for _, row := range rows {
		p, err := story(ctx, c, cfg, w, row["serial"])
		require.NoError(t, err)
		lineAgrees(t, p.Line, columns, row)
		toldAgrees(t, &p, row, w.AsOf())
	}
	return published.Head
}

// possibleRow holds a line of the list within what can be.
func possibleRow(t *testing.T, row map[string]string, lines int) {
	who := row["serial"]
	number := func(name string) float64 {
		if row[name] == "" {
			return math.NaN()
		}
		v, err := strconv.ParseFloat(row[name], 64)
		require.NoError(t, err, "%s of %s", name, who)
		return v
	}
	for name := range row {
		if !strings.HasSuffix(name, "_probability") || row[name] == "" {
			continue
		}
		v := number(name)
		require.True(t, v >= 0 && v <= 1, "%s of %s: %g", name, who, v)
	}
	most := map[string]float64{"natural gas": 11.8, "propane": 13.7}[row["fuel"]]
	for _, fire := range []string{"high", "low"} {
		low, co2, high := number(fire+"_expected_low_percent"), number(fire+"_expected_co2_percent"), number(fire+"_expected_high_percent")
		if math.IsNaN(co2) {
			require.Empty(t, row[fire+"_worst_out_probability"], "%s at %s fire: a chance without a forecast", who, fire)
			continue
		}
		require.True(t, slices.IsSorted([]float64{0, low, co2, high, most}), "%s at %s fire: %g to %g, %g expected", who, fire, low, high, co2)
		require.NotEmpty(t, row[fire+"_day"], "%s at %s fire was never read", who, fire)
		if p := number(fire + "_worst_out_probability"); !math.IsNaN(p) {
			require.GreaterOrEqual(t, p, number(fire+"_planned_out_probability"), who)
			require.LessOrEqual(t, number(fire+"_rich_probability")+number(fire+"_lean_probability"), p+0.011, who)
		}
	}
	if row["high_day"] == "" && row["low_day"] == "" {
		require.Empty(t, row["out_probability"]+row["rank_from"]+row["side"], "%s was never read", who)
	}
	if from := number("rank_from"); !math.IsNaN(from) {
		to := number("rank_to")
		require.True(t, from >= 1 && from <= to && to <= float64(lines), "%s: %g to %g of %d", who, from, to, lines)
		require.NotEmpty(t, row["out_probability"], who)
	}
}

// lineAgrees holds the line that the command unit made from the warehouse to the
// published row: every column that both have.
func lineAgrees(t *testing.T, l *watch.Line, columns []string, row map[string]string) {
	again := lists.Watchlist([]watch.Line{*l}, watch.Summary{}, carriedIn(columns))
	told := map[string]string{}
	for k, c := range again.Columns {
		told[c.Name] = again.Rows[0][k].String()
	}
	for _, name := range columns {
		require.Equal(t, row[name], told[name], "%s of %s, on the list and by unit", name, row["serial"])
	}
}

// carriedIn are the columns of the list that travelled along from the register.
func carriedIn(columns []string) []string { return columns[slices.Index(columns, "marks")+1:] }

// toldAgrees holds what is written of a unit, as text and as a page, to its row.
func toldAgrees(t *testing.T, p *night.Picture, row map[string]string, asOf day.Day) {
	var text, web bytes.Buffer
	require.NoError(t, lists.WriteStory(&text, units.SI, p.Detail.Story))
	require.NoError(t, page.WriteUnitPage(&web, units.SI, p.Detail, p.Sheet, asOf))
	cells := cellsOf(web.String())
	plain := html.UnescapeString(web.String())
	for _, in := range []string{text.String(), plain} {
		require.Contains(t, in, row["group"], row["serial"])
		for _, reason := range strings.SplitAfter(row["reasons"], ". ") {
			require.Contains(t, in, strings.TrimSpace(reason), row["serial"])
		}
		require.Contains(t, in, "planned day "+dayWords(row["planned_day"]), row["serial"])
	}
	for mark := range strings.SplitSeq(row["marks"], "; ") {
		require.Contains(t, text.String(), mark, row["serial"])
	}
	for _, fire := range []string{"high", "low"} {
		co2 := row[fire+"_expected_co2_percent"]
		if co2 == "" {
			continue
		}
		low, high := row[fire+"_expected_low_percent"], row[fire+"_expected_high_percent"]
		require.Contains(t, text.String(), co2+" % CO2 today (90 % interval "+low+" to "+high, row["serial"])
		require.Contains(t, text.String(), ": "+row[fire+"_first_outside"]+".", row["serial"])
		near := func(cell string) bool {
			var x, from, to float64
			n, _ := fmt.Sscanf(cell, "%g %% CO2 (%g to %g)", &x, &from, &to)
			return n == 3 && rounds(x, co2) && rounds(from, low) && rounds(to, high)
		}
		require.True(t, slices.ContainsFunc(cells, near), "%s at %s fire: %s (%s to %s) is not in %q", row["serial"], fire, co2, low, high, cells)
	}
	if row["last_visit"] != "" {
		require.Contains(t, text.String(), "\n"+row["last_visit"], row["serial"])
	}
	if row["co_recorded"] != "" {
		require.Contains(t, plain, row["co_recorded"]+" at "+row["co_fire"]+" on "+dayWords(row["co_day"]), row["serial"])
	}
}

// rounds reports whether a number with one decimal is another with two.
func rounds(x float64, two string) bool {
	v, err := strconv.ParseFloat(two, 64)
	return err == nil && math.Abs(x-v) <= 0.0501+1e-9
}

var cellText = regexp.MustCompile(`<t[dh][^>]*>([^<]*)`)

// cellsOf are the texts of a page's table cells.
func cellsOf(page string) (cells []string) {
	for _, m := range cellText.FindAllStringSubmatch(page, -1) {
		cells = append(cells, strings.TrimSpace(html.UnescapeString(m[1])))
	}
	return cells
}

// dayWords writes a day of a CSV as sentences do.
func dayWords(day string) string {
	d, err := settings.DayOf(day)
	if err != nil {
		return "-"
	}
	return words.Day(d)
}

// pageAgrees holds the rows of the page to the CSV: rank and its range, site, serial and
// chance, in its order, each below the heading of its group.
func pageAgrees(t *testing.T, folder string, rows []map[string]string) {
	text, err := os.ReadFile(filepath.Join(folder, page.ListPage))
	require.NoError(t, err)
	onPage := strings.Split(string(text), "\n<tr><td><b>")
	require.Len(t, onPage, len(rows)+1)
	heading := ""
	for i, row := range rows {
		if m := groupHeading.FindAllStringSubmatch(onPage[i], -1); m != nil {
			heading = html.UnescapeString(m[len(m)-1][1])
		}
		m := pageRow.FindStringSubmatch(onPage[i+1])
		require.NotNil(t, m, "%s: %s", row["serial"], onPage[i+1])
		site, sorted := row["site"], ""
		if site == "" {
			site = row["serial"]
		}
		if row["rank_to"] != row["rank_from"] {
			sorted = row["rank_from"] + "–" + row["rank_to"]
		}
		about := html.UnescapeString(m[4])
		require.Equal(t, []string{row["rank"], sorted, site}, []string{m[1], m[2], html.UnescapeString(m[3])}, row["serial"])
		require.True(t, about == row["serial"] || strings.HasPrefix(about, row["serial"]+", "), about)
		chanceAgrees(t, m[5], row)
		if row["at_foot"] == "" {
			require.Equal(t, words.Capital(row["group"]), heading, row["serial"])
		}
	}
}

// chanceAgrees compares the chance of a row with that of the CSV, which has two decimals.
func chanceAgrees(t *testing.T, said string, row map[string]string) {
	if row["out_probability"] == "" {
		require.Equal(t, "–", said, row["serial"])
		return
	}
	p, err := strconv.ParseFloat(row["out_probability"], 64)
	require.NoError(t, err)
	percent, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimLeft(said, "overund "), " %"), 64)
	require.NoError(t, err, said)
	require.InDelta(t, 100*p, percent, 1.01, row["serial"])
}

var (
	groupHeading = regexp.MustCompile(`<h2 id="g-[^"]*">([^<]*) <span>`)
	pageRow      = regexp.MustCompile(`^([0-9]+)</b>(?:<small>([^<]*)</small>)?<th scope=row>(?:<a href="[^"]*">)?([^<]*)(?:</a>)?` +
		`<small>([^<]*)</small><td>(?:<svg .*?</svg>)?<td>(?:<b>)?([^<]*)`)
)

// headAgrees holds the counts at the head to the lines below it.
func headAgrees(t *testing.T, head []string, rows []map[string]string) {
	count := map[string]int{}
	for _, row := range rows {
		if row["at_foot"] == "" {
			count[row["group"]]++
		}
	}
	for group, n := range count {
		unit := " units."
		if n == 1 {
			unit = " unit."
		}
		want := strings.ToUpper(group[:1]) + group[1:] + ": " + strconv.Itoa(n) + unit
		require.Contains(t, head, want)
	}
}

// coAgrees holds the worst CO of each line to the list of CO.
func coAgrees(t *testing.T, folder string, rows []map[string]string) {
	_, records := rowsOf(t, folder, "co")
	for _, row := range rows {
		if row["co_ppm_air_free"] == "" {
			continue
		}
		found := slices.ContainsFunc(records, func(c map[string]string) bool {
			return c["serial"] == row["serial"] && c["fire"] == row["co_fire"] && c["co_ppm_air_free"] == row["co_ppm_air_free"] &&
				c["co_day"] == row["co_day"] && c["rank"] == row["rank"]
		})
		require.True(t, found, "CO %s of %s at %s on %s is not on the list of CO", row["co_ppm_air_free"], row["serial"], row["co_fire"],
			row["co_day"])
	}
}
