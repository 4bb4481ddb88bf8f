package ingest

import (
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/datasets/demo"
	"fluedrift/model/day"
	"fluedrift/queries"
)

// mustDay is a day number by the standard library's calendar.
func mustDay(t *testing.T, s string) day.Day {
	t.Helper()
	at, err := time.ParseInLocation(time.DateOnly, s, time.UTC)
	require.NoError(t, err)
	return day.Day(at.Unix() / 86400)
}

// build reads a folder into a real warehouse and derives what stands.
func build(t *testing.T, o Options, asOf day.Day) (Result, *queries.Warehouse) {
	t.Helper()
	ctx := context.Background()
	w, err := queries.Create(ctx, filepath.Join(t.TempDir(), "w.duckdb"), queries.Options{Threads: 2, MemoryMB: 512})
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, w.Close()) })
	r, err := Read(ctx, w, o)
	require.NoError(t, err)
	require.NoError(t, w.Build(ctx, asOf))
	checks, err := w.Checks(ctx)
	require.NoError(t, err)
	for _, c := range checks {
		assert.Zero(t, c.Wrong, "%s: %v", c.Name, c.First)
	}
	return r, w
}

// everyField is a layout of a record with a column for each field, and one
// line that fills it.
func everyField(record, constants string, cells [][3]string) (layoutText, csvText string) {
	var l strings.Builder
	fmt.Fprintf(&l, "name = %q\nrecord = %q\nsource = \"mill\"\n[match]\nnames = [\"%s.csv\"]\n%s", record, record, record, constants)
	var head, row []string
	for _, c := range cells {
		fmt.Fprintf(&l, "[[column]]\nheader = %q\nfield = %q\n", c[0], c[0])
		if c[2] != "" {
			fmt.Fprintf(&l, "unit = %q\n", c[2])
		}
		head, row = append(head, c[0]), append(row, c[1])
	}
	return l.String(), asLines(strings.Join(head, ","), strings.Join(row, ","))
}

// fullRows has a full row for every record. Converted values below are the SI
// factors (NIST SP 811 Appendix B): 10 ft is 3.048 m, 6 in 0.1524 m, 2 in w.c.
// 498.1778 Pa, 212 degF 100 degC.
var fullRows = map[string][][3]string{
	"readings": {
		{"visit_id", "A1", ""},
		{"serial", "BX-7", ""},
		{"day", "2023-02-06", ""},
		{"time", "07:30", ""},
		{"reason", "annual", ""},
		{"technician", "T1", ""},
		{"analyzer", "M1", ""},
		{"adjusted", "yes", ""},
		{"parts", "nozzle", ""},
		{"not_reached", "low: valve", ""},
		{"outdoor_temp", "50", "degF"},
		{"fire", "point", ""},
		{"rate", "0.55", "fraction"},
		{"condition", "as left", ""},
		{"co2", "9.1", "%"},
		{"o2", "4.95", "%"},
		{"co", ">2000", "ppm"},
		{"flue_temp", "212", "degF"},
		{"air_temp", "-4.0", "degC"},
		{"air_temp_at", "outdoor", ""},
		{"minutes_firing", "0.5", "h"},
		{"supply_pressure", "2", "in w.c."},
		{"manifold_pressure", "3.5", "mbar"},
		{"fan_speed", "50", "Hz"},
		{"flame_signal", "7.5", "uA"},
		{"draft", "-5", "Pa"},
	},
	"units": {
		{"serial", "BX-7", ""},
		{"second_id", "P-113", ""},
		{"site", "Mill", ""},
		{"area", "North", ""},
		{"model_line", "L 40", ""},
		{"control", "ratio", ""},
		{"firing", "modulating", ""},
		{"input", "440", "kW"},
		{"installed", "2016-05-10", ""},
		{"state", "standby", ""},
		{"state_from", "2022-01-01", ""},
		{"removed", "2031-05-06", ""},
		{"altitude", "100", "ft"},
		{"latitude", "45.5", ""},
		{"longitude", "-35.25", ""},
		{"fuel", "propane", ""},
		{"fuel_from", "2016-05-10", ""},
		{"plant", "P1", ""},
		{"vent_from", "2016-05-10", ""},
		{"vent_diameter", "6", "in"},
		{"vent_length", "10", "ft"},
		{"vent_rise", "2", "m"},
		{"elbows_90", "3", ""},
		{"elbows_45", "1", ""},
		{"terminal", "cap", ""},
		{"material", "steel", ""},
		{"air_from", "own run", ""},
		{"intake_diameter", "150", "mm"},
		{"intake_length", "200", "cm"},
		{"intake_elbows_90", "2", ""},
		{"intake_elbows_45", "0", ""},
		{"common_vent", "P1", ""},
	},
	"model_lines": {
		{"model_line", "L 40", ""},
		{"fuel", "propane", ""},
		{"fire", "point", ""},
		{"valid_from", "2001-01-01", ""},
		{"target_co2", "10.2", ""},
		{"target_o2", "5.1", ""},
		{"set_rich", "0.2", ""},
		{"set_lean", "0.25", ""},
		{"act_rich", "0.4", ""},
		{"act_lean", "0.5", ""},
		{"longest_run", "100", "ft"},
		{"fan_pressure", "2", "in w.c."},
		{"factory_run", "5", "ft"},
		{"factory_gas", "propane", ""},
		{"factory_altitude", "30", "m"},
	},
	"analyzers": {{"analyzer", "M1", ""}, {"calibrated", "2023-01-05", ""}, {"found_error", "-0.04", ""}},
	"plants":    {{"plant", "P1", ""}, {"site", "Mill", ""}, {"serial", "BX-7", ""}, {"common", "vent", ""}},
	"answers":   {{"serial", "BX-7", ""}, {"day", "2023-03-01", ""}, {"answer", "nothing found", ""}, {"until", "2023-06-01", ""}},
}

// TestFullRowOfEveryRecord loads one full row of every kind into the warehouse
// and reads it back through what the program itself reads.
func TestFullRowOfEveryRecord(t *testing.T) {
	files := map[string]string{}
	for record, cells := range fullRows {
		files[record+".toml"], files[record+".csv"] = everyField(record, "", cells)
	}
	asOf := mustDay(t, "2023-04-01")
	o := folder(t, files)
	o.AsOf = asOf
	o.Targets = []Target{{
		ModelLine: "L 40", Fuel: "propane", Fire: "high", From: day.None, CO2Percent: 10.1, O2Percent: math.NaN(),
		SetRich: 0.2, SetLean: 0.2, ActRich: math.NaN(), ActLean: math.NaN(),
	}}
	r, w := build(t, o, asOf)
	require.Len(t, r.Files, 6)
	for _, f := range r.Files {
		require.Equal(t, int64(1), f.Parsed, "%s %v", f.Name, f.Reasons)
	}
	ctx := context.Background()
	all, err := w.Slices(ctx, "")
	require.NoError(t, err)
	require.Len(t, all, 1)

	units, err := w.Units(ctx, "BX-7")
	require.NoError(t, err)
	require.Len(t, units, 1)
	u := units[0]
	assert.Equal(t, []string{"Mill", "North", "L 40", "ratio", "modulating", "standby", "propane", "P1"},
		[]string{u.Site, u.Area, u.ModelLine, string(u.Control), u.Firing, string(u.State), u.Fuel, u.Plant})
	assert.InDeltaSlice(t, []float64{440, 30.48, 45.5, -35.25}, []float64{u.InputKW, u.AltitudeM, u.LatitudeDeg, u.LongitudeDeg}, 1e-12)
	assert.Equal(t, []day.Day{mustDay(t, "2016-05-10"), mustDay(t, "2022-01-01")}, []day.Day{u.Installed, u.StateFrom})

	runs, err := w.VentRuns(ctx, all[0])
	require.NoError(t, err)
	require.Len(t, runs, 1)
	v := runs[0]
	assert.InDeltaSlice(t, []float64{0.1524, 3.048, 2, 0.15, 2},
		[]float64{v.DiameterM, v.LengthM, v.RiseM, v.IntakeDiameterM, v.IntakeLengthM}, 1e-12)
	assert.Equal(t, "3 1 2 0 cap steel own run P1", strings.TrimSpace(fmt.Sprintln(v.Elbows90, v.Elbows45, v.IntakeElbows90, v.IntakeElbows45,
		v.Terminal, v.Material, v.AirFrom, v.CommonVent)))

	n := 0
	for v, err := range w.Visits(ctx, all[0]) {
		require.NoError(t, err)
		n++
		assert.Equal(t, []string{"A1", "mill", "annual", "T1", "M1", "nozzle", "low: valve"},
			[]string{v.ID, v.Source, string(v.Reason), v.Technician, v.Analyzer, v.Parts, v.NotReached})
		assert.Equal(t, []day.Day{mustDay(t, "2023-02-06"), 450}, []day.Day{v.Day, day.Day(v.Minute)})
		assert.InDelta(t, 10, v.OutdoorTempC, 1e-12)
	}
	for r, err := range w.Readings(ctx, all[0]) {
		require.NoError(t, err)
		n++
		assert.Equal(t, []string{"point", "as left", "unknown", "above", "outdoor", "M1", "co:above-limit"},
			[]string{string(r.Fire), string(r.Condition), r.COBasis, r.COLimit, r.AirTempAt, r.Analyzer, r.Marks})
		assert.InDeltaSlice(t, []float64{55, 9.1, 4.95, 2000, 100, -4, 30, 498.1778, 350, 3000, 7.5, -5},
			[]float64{
				r.RatePercent, r.CO2Percent, r.O2Percent, r.COPPM, r.FlueTempC, r.AirTempC, r.MinutesFiring, r.SupplyPa, r.ManifoldPa,
				r.FanSpeedRPM, r.FlameSignalUA, r.DraftPa,
			}, 1e-9)
		assert.Equal(t, []int8{1, 2, 0, 0, 1}, []int8{r.CO2Decimals, r.O2Decimals, r.CODecimals, r.FlueDecimals, r.AirDecimals})
		assert.Equal(t, mustDay(t, "2023-01-05"), r.Calibrated)
	}
	assert.Equal(t, 2, n)

	answers, err := w.Answers(ctx, all[0])
	require.NoError(t, err)
	require.Len(t, answers, 1)
	assert.Equal(t, "nothing found", answers[0].Answer.Answer)
	targets, err := w.Targets(ctx, all[0])
	require.NoError(t, err)
	var origins []string
	for _, x := range targets {
		origins = append(origins, string(x.Fire)+" "+x.Origin)
	}
	assert.Contains(t, origins, "high configuration")
}

// TestCorrectionsAndDoubles: a later export corrects, the same values again are
// a duplicate, and where no day is known neither line wins.
func TestCorrectionsAndDoubles(t *testing.T) {
	typed := goodRowWith("9.1", "19.1")
	for _, c := range []struct {
		name, export string
		first        string
		want         []string
	}{
		{
			"corrected", "from = \"name\"\npattern = \"yyyy-mm-dd\"", "2023-03-01",
			[]string{"tests 2023-03-01.csv:2 superseded", "tests 2023-04-01.csv:3 duplicate"},
		},
		{
			"corrected, other order of names", "from = \"name\"\npattern = \"yyyy-mm-dd\"", "2023-05-01",
			[]string{"tests 2023-04-01.csv:2 superseded", "tests 2023-05-01.csv:3 duplicate"},
		},
		{"no day known", "from = \"unknown\"", "2023-03-01", []string{
			"tests 2023-03-01.csv:2 doubtful", "tests 2023-04-01.csv:2 doubtful",
			"tests 2023-04-01.csv:3 duplicate",
		}},
	} {
		o := folder(t, map[string]string{
			"tests.toml": readingsLayout(fileKeys{"export": c.export}), "tests " + c.first + ".csv": readingsFile(typed, goodRowWith("high", "low")),
			"tests 2023-04-01.csv": readingsFile(goodRow, goodRowWith("high", "low")),
		})
		o.AsOf = mustDay(t, "2023-06-01")
		_, w := build(t, o, o.AsOf)
		out, err := w.Outcomes(context.Background())
		require.NoError(t, err)
		var got []string
		for _, x := range out {
			got = append(got, fmt.Sprintf("%s:%d %s", x.File, x.Line, x.Outcome))
		}
		assert.Equal(t, c.want, got, c.name)
	}
}

// TestMarkWithinAFile: a byte order mark within a file, as where one file was put
// behind another, belongs to no cell. A correction whose visit id, quoted cell or
// second header begins with one is still the correction of that visit.
func TestMarkWithinAFile(t *testing.T) {
	typed, corrected := []string{readingsHeader}, []string{readingsHeader}
	var want []string
	for i, mark := range []func(row, visit, serial string) string{
		func(row, _, _ string) string { return "\ufeff" + row },
		func(row, visit, _ string) string { return "\ufeff" + strings.Replace(row, visit, `"`+visit+`"`, 1) },
		func(row, visit, _ string) string { return strings.Replace(row, visit, "A\ufeff"+visit[1:], 1) },
		func(row, _, serial string) string { return strings.Replace(row, serial, "\ufeff"+serial+"\ufeff", 1) },
		func(row, _, _ string) string {
			return strings.Replace(strings.Replace(row, "9.1", "\ufeff9.1", 1), "high", "\ufeffhigh", 1)
		},
		func(row, _, _ string) string { return "\ufeff" + readingsHeader + "\n" + row },
	} {
		visit, serial := fmt.Sprintf("A%d", i+1), fmt.Sprintf("BX-%d", i+1)
		row := goodRowWith("A1", visit, "BX-7", serial)
		typed = append(typed, strings.Replace(row, "9.1", "19.1", 1))
		corrected = append(corrected, strings.Replace(row, "high", "low", 1), mark(row, visit, serial))
		want = append(want, fmt.Sprintf("tests 2023-03-01.csv:%d superseded", i+2))
	}
	o := folder(t, map[string]string{
		"tests.toml":           readingsLayout(fileKeys{"export": "from = \"name\"\npattern = \"yyyy-mm-dd\""}),
		"tests 2023-03-01.csv": asLines(typed...),
		"tests 2023-04-01.csv": asLines(corrected...),
	})
	o.AsOf = mustDay(t, "2023-06-01")
	_, w := build(t, o, o.AsOf)
	out, err := w.Outcomes(t.Context())
	require.NoError(t, err)
	var got []string
	for _, x := range out {
		got = append(got, fmt.Sprintf("%s:%d %s", x.File, x.Line, x.Outcome))
	}
	assert.Equal(t, want, got)
}

// TestDemoAgainstItsTruth: every planted line of the invented fleet has the
// outcome it was planted for, and no other line is set aside.
func TestDemoAgainstItsTruth(t *testing.T) {
	dir := t.TempDir()
	asOf := mustDay(t, "2026-03-02")
	units := 60
	if long() {
		units = 200
	}
	require.NoError(t, demo.New(demo.Options{Units: units, Years: 12, Seed: 1, AsOf: asOf, World: demo.Default()}).Write(dir))
	r, w := build(t, Options{Folder: filepath.Join(dir, "exports"), Layouts: filepath.Join(dir, "layouts"), AsOf: asOf}, asOf)
	for _, f := range r.Files {
		assert.Equal(t, WasRead, f.Outcome, "%s %s", f.Name, f.Message)
	}
	got := map[string]string{}
	aside, err := w.SetAside(context.Background())
	require.NoError(t, err)
	for _, s := range aside {
		if s.Outcome == "set aside" || s.Cell() {
			got[fmt.Sprintf("%s:%d", s.File, s.Line)] = s.Outcome + " " + s.Reason
		}
	}
	out, err := w.Outcomes(context.Background())
	require.NoError(t, err)
	for _, x := range out {
		got[fmt.Sprintf("%s:%d", x.File, x.Line)] = strings.TrimSpace(x.Outcome + " " + x.Reason)
	}
	f, err := os.Open(filepath.Join(dir, "truth", "lines.csv"))
	require.NoError(t, err)
	defer f.Close()
	planted, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	want, counts := map[string]string{}, map[string]int64{}
	for _, p := range planted[1:] {
		switch p[2] {
		case "header", "blank", "skipped":
			counts[p[0]+" "+p[2]]++
		case "accepted":
		default:
			want[p[0]+":"+p[1]] = strings.TrimSpace(p[2] + " " + p[3])
		}
	}
	assert.Equal(t, want, got)
	for _, f := range r.Files {
		assert.Equal(t, counts[f.Name+" blank"], f.Blank, f.Name)
		assert.Equal(t, counts[f.Name+" header"]+1, f.Header, f.Name)
	}
}
