//go:build unix

package measured_test

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/datasets/demo"
	"fluedrift/datasets/measured"
	"fluedrift/datasets/worlds"
	"fluedrift/model/judge"
)

// peerUnits are the units of the comparison, with ten years of records: the bounds are
// those of this size.
const peerUnits = 10_000

// peersAsked is another number of units, where FLUEDRIFT_UNITS names one.
func peersAsked(t *testing.T) int {
	if os.Getenv("FLUEDRIFT_UNITS") == "" {
		return peerUnits
	}
	return sizesAsked(t)[0]
}

// TestAgainstPeers compares a night with what others would run on the same exports, a
// row a reading: a statistician's script in R with lme4 and ordinary regression in Python
// with numpy, where they are installed. All three read the files and write a ranked list;
// the whole night writes every other list too.
//
//	FLUEDRIFT_LONG=1 go test -timeout 0 -run 'TestAgainstPeers$' -v ./datasets/measured
//
// The bounds are those that are wanted; a figure beyond its bound does not fail the test.
func TestAgainstPeers(t *testing.T) {
	if os.Getenv("FLUEDRIFT_LONG") == "" {
		t.Skip("FLUEDRIFT_LONG=1 runs it")
	}
	kept, fluedrift, n := measured.Of(t, "peers"), program(t), peersAsked(t)
	dir := t.TempDir()
	exports := filepath.Join(dir, "exports")
	c := exec.Command(os.Args[0], "-test.run", "^TestHelperWritesPeers$")
	c.Env = append(os.Environ(), "FLUEDRIFT_WRITES="+dir, fmt.Sprint("FLUEDRIFT_FLEET=", n))
	took(t, c)
	night := took(t, exec.Command(fluedrift, "nightly", "-q", "-config", filepath.Join(dir, "fluedrift.toml")))
	ranked := 0.0
	for _, s := range stagesOf(t, dir) {
		if ranked += s.CPUSeconds; s.Name == "ranking the units" {
			break
		}
	}
	name := fmt.Sprintf("%s units, %s readings", thousands(n), thousands(rowsOf(t, filepath.Join(exports, "readings.csv"))))
	tell := func(figure string, value float64, digits int, bound string) {
		t.Logf("%-60s %8.2f %s", figure, value, bound)
		kept.Number(name, figure, value, digits, bound)
	}
	tell("read to ranked, CPU s", ranked, 1, "")
	tell("whole night, CPU s", night.cpu, 1, "")
	tell("most memory, MiB", night.peakMiB, 0, "")
	scan := floorOfPeers(t, filepath.Join(exports, "readings.csv"))
	tell("typed scan of the readings, CPU s", scan, 2, "")
	tell("read to ranked, typed scans", ranked/scan, 1, "at most 40")
	if r, ok := peer(t, dir, n, "Rscript", []string{"-e", "library(lme4)"}, "ranked.R"); ok {
		tell("R script, CPU s", r.cpu, 1, "")
		tell("R script, MiB", r.peakMiB, 0, "")
		tell("read to ranked, of the R script", ranked/r.cpu, 2, "at most 0.5")
		tell("whole night, of the R script", night.cpu/r.cpu, 2, "at most 1.0")
		tell("most memory, of the R script", night.peakMiB/r.peakMiB, 2, "at most 0.8")
	}
	if p, ok := peer(t, dir, n, python(), []string{"-c", "import numpy"}, "ranked.py"); ok {
		tell("Python regression, CPU s", p.cpu, 1, "")
		tell("Python regression, MiB", p.peakMiB, 0, "")
		tell("read to ranked, of the Python regression", ranked/p.cpu, 2, "at most 0.75")
	}
}

// python is an interpreter with numpy, where one is known.
func python() string {
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import numpy").Run() == nil {
			return name
		}
	}
	return "python3"
}

// peer runs a reference script on the exports, where what it needs is installed, and sees
// that it ranked the fleet.
func peer(t *testing.T, dir string, n int, command string, needs []string, script string) (spent, bool) {
	if said, err := exec.Command(command, needs...).CombinedOutput(); err != nil {
		t.Logf("%s is not run: %v %s", script, err, said)
		return spent{}, false
	}
	out := filepath.Join(dir, script+".csv")
	s := took(t, exec.Command(command, filepath.Join("testdata", script), filepath.Join(dir, "exports"), peersAsOf, out))
	assert.Greater(t, rowsOf(t, out), n*9/10, "units ranked by %s", script)
	return s, true
}

// rowsOf counts the rows of a CSV below its heading.
func rowsOf(t *testing.T, path string) int {
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	return strings.Count(string(text), "\n") - 1
}

const peersAsOf = "2026-03-02"

// TestHelperWritesPeers writes the exports of the comparison in a process of its own.
func TestHelperWritesPeers(t *testing.T) {
	n, err := strconv.Atoi(os.Getenv("FLUEDRIFT_FLEET"))
	if err != nil {
		t.Skip("a helper of TestAgainstPeers")
	}
	w := demo.Default()
	w.Gases, w.Faults = demo.OnlyCO2, demo.Faults{}
	writePeers(t, os.Getenv("FLUEDRIFT_WRITES"), worlds.Demo(demo.Options{Units: n, Years: 10, World: w}))
}

// writePeers writes a fleet as three plain exports, with layouts and configuration.
func writePeers(t *testing.T, dir string, f *worlds.DemoFleet) {
	for _, sub := range []string{"exports", "layouts"} {
		require.NoError(t, os.MkdirAll(filepath.Join(dir, sub), 0o755))
	}
	units, lines, readings := [][]string{unitsHeading}, [][]string{linesHeading}, [][]string{readingsHeading}
	histories := f.Histories()
	for i := range histories {
		h := &histories[i]
		if !h.Unit.InRegister {
			continue
		}
		units = append(units, unitRow(h))
		for k := range h.Readings {
			readings = append(readings, readingRow(h, &h.Readings[k], i))
		}
		lines = append(lines, lineRows(h)...)
	}
	slices.SortFunc(lines[1:], slices.Compare)
	lines = slices.CompactFunc(lines, slices.Equal)
	for name, rows := range map[string][][]string{"units.csv": units, "lines.csv": lines, "readings.csv": readings} {
		out, err := os.Create(filepath.Join(dir, "exports", name))
		require.NoError(t, err)
		b := bufio.NewWriter(out)
		require.NoError(t, csv.NewWriter(b).WriteAll(rows))
		require.NoError(t, b.Flush())
		require.NoError(t, out.Close())
	}
	for name, text := range peerFiles {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
	}
}

var (
	unitsHeading = []string{
		"Serial", "Site", "Area", "Model line", "Control", "Installed", "Fuel", "Vent m", "Elbows 90", "Elbows 45",
		"Air from",
	}
	linesHeading = []string{
		"Line", "Fuel", "Fire", "Valid from", "Target CO2 %", "Set rich", "Set lean", "Act rich", "Act lean",
		"Longest run m",
	}
	readingsHeading = []string{
		"Visit", "Serial", "Date", "Reason", "Technician", "Analyzer", "Adjusted", "Fire", "Taken", "CO2 %", "CO ppm",
		"Flue degC", "Air degC",
	}
)

func unitRow(h *judge.History) []string {
	u, run := &h.Unit, &h.VentRuns[len(h.VentRuns)-1]
	return []string{
		u.Serial, u.Site, u.Area, u.ModelLine, string(u.Control), u.Installed.String(), u.Fuel, plain(run.LengthM, 3),
		strconv.Itoa(run.Elbows90), strconv.Itoa(run.Elbows45), run.AirFrom,
	}
}

// lineRows are the targets in force at a unit, as its model line declares them.
func lineRows(h *judge.History) (rows [][]string) {
	if h.Unit.ModelLine == "" {
		return nil
	}
	for _, x := range h.Targets {
		if math.IsNaN(x.Target.CO2Percent) { // the line is declared in O2, which the scripts do not read
			x.Target = inCO2(x.Target, map[string]float64{"propane": 13.7}[h.Unit.Fuel])
		}
		if math.IsNaN(x.Target.ActRich) { // the scripts know no band that is not declared
			x.Target.ActRich, x.Target.ActLean = 2*x.Target.SetRich, 2*x.Target.SetLean
		}
		rows = append(rows, []string{
			h.Unit.ModelLine, h.Unit.Fuel, string(x.Fire), "2000-01-01", plain(x.Target.CO2Percent, 2), plain(x.Target.SetRich, 2),
			plain(x.Target.SetLean, 2), plain(x.Target.ActRich, 2), plain(x.Target.ActLean, 2), plain(x.Target.LongestRunM, 3),
		})
	}
	return rows
}

// inCO2 is a target that was declared in O2, by the CO2max of the fuel; 0: natural gas.
func inCO2(t judge.Target, co2Max float64) judge.Target {
	if co2Max == 0 {
		co2Max = 11.8
	}
	const air = 20.9 // % O2
	t.CO2Percent = co2Max * (air - t.O2Percent) / air
	for _, points := range []*float64{&t.SetRich, &t.SetLean, &t.ActRich, &t.ActLean} {
		*points *= co2Max / air
	}
	return t
}

func readingRow(h *judge.History, r *judge.Reading, unit int) []string {
	v := &h.Visits[r.Visit]
	taken := "before"
	if r.Condition == judge.AsLeft {
		taken = "after"
	}
	return []string{
		fmt.Sprintf("V%d-%d", unit, r.Visit), h.Unit.Serial, r.Day.String(), string(v.Reason), v.Technician, r.Analyzer,
		v.AdjustedHigh, string(r.Fire), taken, plain(r.CO2Percent, 1), plain(r.COPPM, 0), plain(r.FlueTempC, 0), plain(r.AirTempC, 0),
	}
}

func plain(x float64, digits int) string {
	if math.IsNaN(x) {
		return ""
	}
	return strconv.FormatFloat(x, 'f', digits, 64)
}
