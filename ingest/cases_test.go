package ingest

import (
	"context"
	"fmt"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/layout"
	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// The cases: an archive a kind of fault, with invented exports and what has to
// become of them. HEADER stands for the header of the tests' layout; a file
// named .quoted has its lines as Go strings, one after the other. The section
// "file" has [file] keys of the layout; "export = from name" takes the day of
// the export from the name. The wanted outcomes follow from the layout and the
// rules of the package comments, worked out by hand.

// unitsLayoutOf is the layout of a kind's registers.
func unitsLayoutOf(kind string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "name = \"units %[1]s\"\nrecord = \"units\"\nsource = %[1]q\n[match]\nnames = [\"%[1]s_units*.csv\"]\n", kind)
	if kind == "15" {
		b.WriteString("[export_day]\nfrom = \"name\"\npattern = \"yyyy-mm-dd\"\n")
	}
	for _, c := range [][3]string{
		{"Serial", "serial", ""},
		{"Site", "site", ""},
		{"Fuel", "fuel", ""},
		{"Input", "input", "MBH"},
		{"Fitted", "installed", ""},
		{"Wide", "vent_diameter", "in"},
		{"Long", "vent_length", "ft"},
		{"Bends", "elbows_90", ""},
		{"Alt", "altitude", "ft"},
		{"Lat", "latitude", ""},
	} {
		fmt.Fprintf(&b, "[[column]]\nheader = %q\nfield = %q\n", c[0], c[1])
		if c[2] != "" {
			fmt.Fprintf(&b, "unit = %q\n", c[2])
		}
	}
	return b.String()
}

// theCases unpacks all archives into one exports folder, with a layout or two
// for each, and returns what is wanted by kind.
func theCases(t *testing.T) (files map[string]string, want map[string][]string) {
	paths, err := filepath.Glob("testdata/cases/*.txtar")
	require.NoError(t, err)
	require.Len(t, paths, 21)
	files, want = map[string]string{}, map[string][]string{}
	for _, p := range paths {
		a, err := txtar.ParseFile(p)
		require.NoError(t, err)
		kind := filepath.Base(p)[:2]
		keys := fileKeys{}
		for _, f := range a.Files {
			text := string(f.Data)
			switch f.Name {
			case "want":
				want[strings.TrimSuffix(filepath.Base(p), ".txtar")] = strings.Split(strings.TrimSpace(text), "\n")
				continue
			case "file":
				for line := range strings.SplitSeq(strings.TrimSpace(text), "\n") {
					k, v, _ := strings.Cut(line, " = ")
					if keys[k] = v; k == "export" {
						keys[k] = "from = \"name\"\npattern = \"yyyy-mm-dd\""
					}
				}
				continue
			}
			name, quoted := strings.CutSuffix(f.Name, ".quoted")
			if quoted {
				text = unquote(t, text)
			}
			header := readingsHeader
			if keys["delimiter"] != "" {
				header = strings.ReplaceAll(header, ",", ";")
			}
			files[name] = strings.ReplaceAll(text, "HEADER", header)
		}
		files[kind+".toml"] = strings.NewReplacer(`"tests"`, strconv.Quote(kind), `"mill"`, strconv.Quote(kind),
			`"tests*.csv"`, fmt.Sprintf(`"%[1]s_a*.csv", "%[1]s_b*.csv", "%[1]s_c*.csv", "%[1]s_d*.csv", "%[1]s_e*.csv"`,
				kind)).Replace(readingsLayout(keys))
		files[kind+"_units.toml"] = unitsLayoutOf(kind)
	}
	return files, want
}

func unquote(t *testing.T, text string) string {
	var b strings.Builder
	for line := range strings.Lines(text) {
		s, err := strconv.Unquote(`"` + strings.TrimSuffix(line, "\n") + `"`)
		require.NoError(t, err, line)
		b.WriteString(s)
	}
	return b.String()
}

// fates are what became of files and lines: the text before the values by
// "file" or "file:line", and the values of accepted readings and units.
type fates struct {
	said   map[string]string
	values map[string]map[string]string
	counts map[string]string
	notes  map[string]string
	cells  map[string]string // set aside while their line stands: column:reason
}

func fatesOf(t *testing.T, r Result, w *queries.Warehouse) fates {
	f := fates{map[string]string{}, map[string]map[string]string{}, map[string]string{}, map[string]string{}, map[string]string{}}
	ctx := context.Background()
	name := map[int32]string{}
	for _, file := range r.Files {
		name[file.Key] = file.Name
		if file.Outcome != WasRead {
			f.said[file.Name] = file.Outcome + " " + file.Reason
		}
		f.counts[file.Name] = fmt.Sprintf("%d lines, %d header, %d blank, %d skipped", file.Lines, file.Header, file.Blank, file.Skipped)
		f.notes[file.Name] = file.Message
	}
	aside, err := w.SetAside(ctx)
	require.NoError(t, err)
	for _, s := range aside {
		if s.Outcome == "set aside" {
			f.said[fmt.Sprintf("%s:%d", s.File, s.Line)] = "set aside " + s.Reason
		}
		if at := fmt.Sprintf("%s:%d", s.File, s.Line); s.Cell() {
			f.cells[at] = strings.TrimPrefix(f.cells[at]+"+"+s.Column+":"+s.Reason, "+")
		}
	}
	others, err := w.Outcomes(ctx)
	require.NoError(t, err)
	for _, o := range others {
		f.said[fmt.Sprintf("%s:%d", o.File, o.Line)] = strings.Join(strings.Fields(o.Outcome+" "+o.Reason), " ") + " " + o.Other
	}
	all, err := w.Slices(ctx, "")
	require.NoError(t, err)
	for _, s := range all {
		f.addSlice(t, w, s, name)
	}
	return f
}

// addSlice adds the values of the readings and units of a slice.
func (f fates) addSlice(t *testing.T, w *queries.Warehouse, s queries.Slice, name map[int32]string) {
	ctx := context.Background()
	units, err := w.UnitsIn(ctx, s)
	require.NoError(t, err)
	runs, err := w.VentRuns(ctx, s)
	require.NoError(t, err)
	byKey, technicians := map[int32]judge.Unit{}, map[int32]string{}
	last := map[int32]queries.VentRun{}
	for _, v := range runs {
		last[v.UnitKey] = v
	}
	for _, u := range units {
		byKey[u.Key] = u
		v := last[u.Key]
		f.values["unit "+u.Serial] = map[string]string{
			"input": text(u.InputKW), "altitude": text(u.AltitudeM), "installed": dayText(u.Installed),
			"vent": text(v.LengthM), "wide": text(v.DiameterM),
		}
	}
	for v, err := range w.Visits(ctx, s) {
		require.NoError(t, err)
		technicians[v.Key] = v.Technician
	}
	for r, err := range w.Readings(ctx, s) {
		require.NoError(t, err)
		u := byKey[r.UnitKey]
		vent := math.NaN()
		for _, v := range runs {
			if v.UnitKey == r.UnitKey && int(v.Number) == r.VentRun {
				vent = v.LengthM
			}
		}
		f.values[fmt.Sprintf("%s:%d", name[r.FileKey], r.Line)] = map[string]string{
			"unit": u.Serial, "site": u.Site, "day": dayText(r.Day), "minute": fmt.Sprint(r.Minute), "fire": string(r.Fire),
			"condition": strings.ReplaceAll(string(r.Condition), " ", "-"),
			"co2":       text(r.CO2Percent), "o2": text(r.O2Percent), "co": text(r.COPPM), "limit": r.COLimit, "flue": text(r.FlueTempC),
			"air":        text(r.AirTempC),
			"technician": technicians[r.VisitKey], "vent": text(vent), "uncertain": fmt.Sprint(r.VentUncertain), "age": ageText(r.AgeDays),
			"marks": r.Marks,
		}
	}
}

func text(v float64) string {
	if math.IsNaN(v) {
		return "null"
	}
	return strconv.FormatFloat(v, 'g', -1, 64)
}

func dayText(d day.Day) string {
	if d == day.None {
		return "null"
	}
	return iso(d)
}

func ageText(days int32) string {
	if days == queries.UnknownAge {
		return "null"
	}
	return strconv.Itoa(int(days))
}

// TestCases holds every kind of fault to its cases, all in one warehouse: a bad
// file never stops the others.
func TestCases(t *testing.T) {
	files, want := theCases(t)
	asOf := mustDay(t, "2024-01-15")
	o := folder(t, files)
	o.AsOf = asOf
	r, w := build(t, o, asOf)
	got := fatesOf(t, r, w)
	everyLineWanted(t, r, want)
	for _, kind := range slices.Sorted(maps.Keys(want)) {
		t.Run(kind, func(t *testing.T) {
			for _, line := range want[kind] {
				got.hold(t, line)
			}
		})
	}
}

// hold compares one wanted outcome: "FILE:LINE outcome values", "FILE outcome",
// "FILE counts ...", "FILE says ..." or "unit SERIAL values".
func (f fates) hold(t *testing.T, line string) {
	if serial, ok := strings.CutPrefix(line, "unit "); ok {
		serial, values, _ := strings.Cut(serial, " ")
		f.holdValues(t, "unit "+serial, strings.Fields(values))
		return
	}
	end := strings.Index(line, ".csv") + len(".csv")
	at, rest, _ := strings.Cut(line[end:], " ")
	name := line[:end] + at
	switch {
	case strings.HasPrefix(rest, "counts "):
		assert.Equal(t, rest[len("counts "):], f.counts[name], name)
	case strings.HasPrefix(rest, "says "):
		assert.Equal(t, rest[len("says "):], f.notes[name], name)
	case strings.HasPrefix(rest, "accepted"):
		assert.Empty(t, f.said[name], name)
		f.holdValues(t, name, strings.Fields(strings.ReplaceAll(rest, "unit=G 5", "unit=G\u00005"))[1:])
	default:
		assert.Equal(t, rest, f.said[name], name)
	}
}

func (f fates) holdValues(t *testing.T, name string, values []string) {
	cells := ""
	for _, v := range values {
		k, want, _ := strings.Cut(v, "=")
		if k == "cells" {
			cells = want
			continue
		}
		got, ok := f.values[name][k]
		require.True(t, ok, "%s has no %s", name, k)
		want = strings.ReplaceAll(want, "\x00", " ")
		if k == "marks" {
			assert.Contains(t, strings.Fields(got), want, name)
			continue
		}
		assert.Equal(t, want, got, "%s: %s", name, k)
	}
	assert.Equal(t, cells, f.cells[name], "%s: cells set aside", name)
}

// everyLineWanted: a kind has three readings exports or more, and no line of
// them is forgotten by what is wanted.
func everyLineWanted(t *testing.T, r Result, want map[string][]string) {
	exports, wanted := map[string]int{}, map[string]int64{}
	for _, all := range want {
		for _, line := range all {
			if name, _, ok := strings.Cut(line, ".csv:"); ok {
				wanted[name+".csv"]++
			}
		}
	}
	for _, f := range r.Files {
		exports[f.Name[:2]]++
		if f.Outcome == WasRead && (f.Record != layout.Units || f.Name[:2] == "21") {
			assert.Equal(t, f.Parsed+f.SetAside, wanted[f.Name], "%s: lines and wants", f.Name)
		}
	}
	assert.Len(t, exports, 21)
	for kind, n := range exports {
		assert.GreaterOrEqual(t, n, 3, kind)
	}
}

// TestZones: the cases come out the same wherever the machine stands.
func TestZones(t *testing.T) {
	if os.Getenv("FLUEDRIFT_ZONE") != "" {
		t.Skip("already in another zone")
	}
	for _, zone := range []string{"Asia/Tokyo", "America/New_York"} {
		if !long() && zone != "Asia/Tokyo" { // where it is a later day, one is lost soonest
			continue
		}
		c := exec.Command(os.Args[0], "-test.run=^TestCases$")
		c.Env = append(os.Environ(), "TZ="+zone, "FLUEDRIFT_ZONE="+zone)
		out, err := c.CombinedOutput()
		assert.NoError(t, err, "%s: %s", zone, out)
		assert.Contains(t, string(out), "PASS", zone)
	}
}
