package report_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

var update = flag.Bool("update", false, "write the golden files anew")

// golden compares with a stored file; -update writes it.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, got, 0o644))
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "run the test with -update once")
	assert.Equal(t, string(want), string(got))
}

const asOf day.Day = 20514 // 2 March 2026, by date -d 2026-03-02 +%s / 86400

// someHistories are invented: one unit with urgent CO, one left lean, one whose
// target is declared in O2, one with hostile text, one answered.
func someHistories() []*judge.History {
	nan := math.NaN()
	target := judge.Target{CO2Percent: 9, O2Percent: nan, SetRich: 0.2, SetLean: 0.2, ActRich: 0.4, ActLean: 0.4, Origin: "lines.csv:2"}
	oxygen := target
	oxygen.CO2Percent, oxygen.O2Percent = nan, 5
	make1 := func(serial string, co2, o2, co float64, t judge.Target) *judge.History {
		u := judge.Unit{
			Serial: serial, Site: "Mill Lane", Area: "east", ModelLine: "Kestrel 300", Firing: "modulating",
			State: "in service", Fuel: "natural gas",
			InputKW: 300, Installed: 17000, FirstDay: 17000, StateFrom: day.None, InRegister: true,
			Carry: `{"contract":"C-7","floor":3,"place":"roof"}`,
		}
		v := judge.Visit{Day: asOf - 119, Reason: "annual", Technician: "T-1", Analyzer: "A-1", Origin: "north.csv:2"}
		r := judge.Reading{
			Day: v.Day, Fire: judge.High, Condition: judge.AsLeft, RatePercent: nan, CO2Percent: co2,
			O2Percent: o2, COPPM: co, COBasis: judge.AirFree,
			COReferenceO2Percent: nan, FlueTempC: 61.4, AirTempC: nan,
			CO2Decimals: 1, O2Decimals: 1, Analyzer: "A-1", Fuel: u.Fuel, Target: t, Origin: "north.csv:2",
		}
		low := r
		low.Fire, low.Origin = judge.Low, "north.csv:3"
		return &judge.History{
			Unit: u, Visits: []judge.Visit{v}, Readings: []judge.Reading{r, low},
			VentRuns: []judge.VentRun{{
				From: 17000, Until: day.None, UncertainFrom: day.None, Known: true, LengthM: 9,
				RiseM: nan, DiameterM: 0.2, Elbows90: 2, Elbows45: -1,
			}},
			Targets: []judge.FireTarget{{Fire: judge.High, Target: t}, {Fire: judge.Low, Target: t}},
		}
	}
	all := []*judge.History{
		make1("0070", 9.0, nan, 530, target), make1("0071", 8.4, nan, 12, target), make1("1234567890123456", nan, 5.1, 8, oxygen),
		make1("=cmd()", 9.1, nan, nan, target), make1("0075", 9.0, nan, 4, target),
	}
	all[3].Unit.Site = "Quay\x1b[31m \"7\", north\r\nwing"
	all[4].Answers = []judge.Answer{{Day: asOf - 10, Until: asOf + 30, Answer: "planned"}}
	return all
}

func rules(t *testing.T) watch.Config {
	fuels, err := combustion.Fuels(nil, combustion.AirO2Field)
	require.NoError(t, err)
	return watch.DefaultConfig(asOf, judge.DefaultConfig(fuels))
}

func someLines(t *testing.T) ([]watch.Line, watch.Summary) {
	var lines []watch.Line
	for _, h := range someHistories() {
		lines = append(lines, assess(h, rules(t), nil))
	}
	return watch.Order(lines), watch.Summarize(lines, rules(t))
}

func TestWatchlistGolden(t *testing.T) {
	lines, s := someLines(t)
	list := lists.Watchlist(lines, s, []string{"contract", "floor", "place"})
	for name, write := range map[string]func(*bytes.Buffer) error{
		"watchlist.csv":  func(b *bytes.Buffer) error { return table.WriteCSV(b, list) },
		"watchlist.json": func(b *bytes.Buffer) error { return table.WriteJSON(b, list) },
		"watchlist.txt":  func(b *bytes.Buffer) error { return table.WriteText(b, list) },
		"unit.txt": func(b *bytes.Buffer) error {
			return lists.WriteStory(b, units.SI, watch.Tell(someHistories()[1], lines[1], rules(t)))
		},
		"columns.txt":  func(b *bytes.Buffer) error { return lists.WriteColumns(b) },
		"cautions.txt": func(b *bytes.Buffer) error { return table.WriteCautions(b) },
	} {
		var b bytes.Buffer
		require.NoError(t, write(&b))
		golden(t, name, b.Bytes())
	}
}

// JSON is exact: text unchanged, numbers numbers, missing null.
func TestJSON(t *testing.T) {
	lines, s := someLines(t)
	var b bytes.Buffer
	require.NoError(t, table.WriteJSON(&b, lists.Watchlist(lines, s, []string{"contract"})))
	var back struct {
		List, AsOf string
		Cautions   []string
		Rows       []map[string]any
	}
	require.NoError(t, json.Unmarshal(b.Bytes(), &back))
	assert.Len(t, back.Rows, len(lines))
	assert.Equal(t, words.Cautions(), back.Cautions)
	for i, row := range back.Rows {
		assert.Equal(t, lines[i].Unit.Serial, row["serial"])
		assert.Equal(t, lines[i].Unit.Site, row["site"])
		assert.Equal(t, float64(i+1), row["rank"])
		assert.Equal(t, "C-7", row["contract"])
	}
}

// Every column of every list is described, and no name is used twice.
func TestColumnsAreDescribed(t *testing.T) {
	sources := map[string]bool{
		"register": true, "readings": true, "judged": true, "plan": true, "targets": true,
		"answers": true, "forecast": true, "dictionary": true,
	}
	for _, l := range lists.Lists() {
		seen := map[string]bool{}
		for _, c := range l.Columns {
			assert.NotEmpty(t, c.Meaning, c.Name)
			assert.True(t, sources[c.Source], c.Name)
			assert.NotEmpty(t, c.Kind, c.Name)
			assert.False(t, seen[c.Name], c.Name)
			seen[c.Name] = true
		}
	}
}

func TestRecordsToFix(t *testing.T) {
	list := lists.RecordsToFix([]watch.Fix{
		{
			File: "north.csv", Line: 118, Column: "CO2 %", Value: "9,4 %",
			Reason: "unreadable-number", Message: "not a number", Serial: "0070", Decides: true,
			MendIn: "north_to-fix.csv:2", Original: "0070;9,4 %",
		},
		{Reason: "no-target", Serial: "0071"},
	}, asOf)
	var b bytes.Buffer
	require.NoError(t, table.WriteCSV(&b, list))
	assert.Equal(t, "file,line,column,value,reason,message,serial,decides_place,mend_in,original\r\nnorth.csv,118,CO2 "+
		"%,\"9,4 %\",unreadable-number,not a number,0070,yes,north_to-fix.csv:2,\"0070;9,4 %\"\r\n,,,,no-target,,0071,,,\r\n", b.String())
	b.Reset()
	require.NoError(t, table.WriteText(&b, lists.RecordsToFix(nil, asOf)))
	assert.Contains(t, b.String(), "Nothing on this list.")
	assert.Contains(t, b.String(), words.Cautions()[0])
}

// A list with forecasts has their columns, both fires beside their targets.
func TestForecastColumns(t *testing.T) {
	h := someHistories()[1]
	f := &analysis.Forecast{Fires: []analysis.FireForecast{{
		Fire: judge.Low, RatePercent: math.NaN(), CO2Percent: 8.41,
		LowPercent: 8.2, HighPercent: 8.6, TargetCO2Percent: 9,
		Today: analysis.Probability{Day: asOf, Rich: 0, Lean: 0.95}, FirstOutside: "already",
	}}}
	lines := watch.Order([]watch.Line{assess(h, rules(t), f)})
	lines[0].RankFrom, lines[0].RankTo = 3, 17
	list := lists.Watchlist(lines, watch.Summarize(lines, rules(t)), nil)
	cells := map[string]string{}
	for i, c := range list.Columns {
		cells[c.Name] = list.Rows[0][i].String()
	}
	assert.Equal(t, "8.41", cells["low_expected_co2_percent"])
	assert.Equal(t, "0.95", cells["low_lean_probability"])
	assert.Equal(t, "0.95", cells["out_probability"])
	assert.Equal(t, "already", cells["low_first_outside"])
	assert.Equal(t, []string{"3", "17"}, []string{cells["rank_from"], cells["rank_to"]})
	assert.Equal(t, "", cells["high_expected_co2_percent"])
}

// Every row has the chance of today and the one at worst, each of the fire where it
// is largest, whatever its group; a unit without a forecast has neither.
func TestChancesOfTodayAndAtWorst(t *testing.T) {
	fire := func(name judge.Fire, now, planned, worst float64) analysis.FireForecast {
		return analysis.FireForecast{
			Fire: name, RatePercent: math.NaN(), CO2Percent: 9, LowPercent: 8.8, HighPercent: 9.2, TargetCO2Percent: 9,
			Today:   analysis.Probability{Day: asOf, Rich: now},
			Planned: analysis.Probability{Day: asOf + 200, Lean: planned},
			Worst:   analysis.Probability{Day: asOf + 90, Lean: worst},
		}
	}
	for _, c := range []struct {
		forecast    *analysis.Forecast
		ground      watch.Ground
		today, most string
	}{
		{
			&analysis.Forecast{Fires: []analysis.FireForecast{fire(judge.High, 0.62, 0.3, 0.81), fire(judge.Low, 0.1, 0.2, 0.3)}},
			watch.ProbablyOutside, "0.62", "0.81",
		},
		{
			&analysis.Forecast{Fires: []analysis.FireForecast{fire(judge.High, 0.3, 0.4, 0.45), fire(judge.Low, 0.1, 0.7, 0.6)}},
			watch.ExpectedOutside, "0.30", "0.70",
		},
		{
			&analysis.Forecast{Fires: []analysis.FireForecast{fire(judge.High, 0.2, 0.2, 0.2), fire(judge.Low, 0.1, 0.1, 0.1)}},
			watch.ToPlan, "0.20", "0.20",
		},
		{nil, watch.ToPlan, "", ""},
	} {
		line := assess(someHistories()[1], rules(t), c.forecast)
		line.Ground = c.ground
		lines := []watch.Line{line}
		list := lists.Watchlist(lines, watch.Summarize(lines, rules(t)), nil)
		at := func(name string) string {
			i := slices.IndexFunc(list.Columns, func(col table.Column) bool { return col.Name == name })
			if i < 0 {
				return ""
			}
			return list.Rows[0][i].String()
		}
		assert.Equal(t, c.today, at("out_probability"), c.ground)
		assert.Equal(t, c.most, at("worst_out_probability"), c.ground)
	}
}

// A write that fails is said so.
func TestWriteErrors(t *testing.T) {
	lines, s := someLines(t)
	list := lists.Watchlist(lines, s, nil)
	for _, write := range []func() error{
		func() error { return table.WriteCSV(full{}, list) },
		func() error { return table.WriteJSON(full{}, list) },
		func() error { return table.WriteText(full{}, list) },
		func() error { return lists.WriteColumns(full{}) }, func() error { return table.WriteCautions(full{}) },
		func() error {
			return lists.WriteStory(full{}, units.SI, watch.Tell(someHistories()[0], lines[0], rules(t)))
		},
	} {
		assert.ErrorIs(t, write(), os.ErrClosed)
	}
}

// full is a writer that takes nothing.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, os.ErrClosed }

// A published list read back and written again is the same to the byte.
func TestReadJSONGivesBackWhatWasWritten(t *testing.T) {
	list := lists.RecordsToFix([]watch.Fix{{
		File: "a.csv", Line: 3, Column: "CO2", Value: "9.l", Reason: "unreadable-number",
		Message: "=x", Serial: "007",
	}, {File: "b.csv"}}, 20000)
	list.Head = []string{"one \x1b sentence"}
	list.Columns = append(list.Columns, table.Column{Name: "co2", Kind: table.Number})
	for i := range list.Rows {
		list.Rows[i] = append(list.Rows[i], table.NumberCell(9.10, 2))
	}
	var first, second bytes.Buffer
	require.NoError(t, table.WriteJSON(&first, list))
	back, err := lists.Read(bytes.NewReader(first.Bytes()))
	require.NoError(t, err)
	require.NoError(t, table.WriteJSON(&second, back))
	require.Equal(t, first.String(), second.String())
	_, err = lists.Read(strings.NewReader("serial,area\n"))
	require.ErrorContains(t, err, "not a published list")
}
