package ingest

import (
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/queries"
)

// fewChecks has rapid try so many inputs in the normal suite, where each of them costs
// much: the same ones every time.
func fewChecks(t *testing.T, n int) {
	t.Helper()
	if long() {
		return
	}
	for name, value := range map[string]string{"rapid.checks": strconv.Itoa(n), "rapid.seed": "1"} {
		was := flag.Lookup(name).Value.String()
		require.NoError(t, flag.Set(name, value))
		t.Cleanup(func() { _ = flag.Set(name, was) })
	}
}

// long reports that the long variants of tests were asked for.
func long() bool { return os.Getenv("FLUEDRIFT_LONG") != "" }

// invented are exports that correct, repeat and contradict each other, without
// their names: registers of several days in which a unit moves, a vent is
// re-routed and a serial is used again, calibrations, and readings.
func invented(rnd *rand.Rand) (registers, readings, calibrations []string) {
	pick := func(all ...string) string { return all[rnd.IntN(len(all))] }
	for range 3 {
		text := "Serial,Site,Fuel,Input,Fitted,Wide,Long,Bends,Alt,Lat\n"
		for u := range 4 {
			text += fmt.Sprintf("BX-%d,%s,natural gas,1500,%s,8,%s,2,650,40.5\n", u, pick("S1", "S2"),
				pick("2010-05-10", "2010-05-10", "2020-05-10"), pick("12", "12", "30", ""))
		}
		registers = append(registers, text)
		text = "Meter,Checked,Off\n"
		for m := range 2 {
			text += fmt.Sprintf("M%d,20%02d-01-10,%s\n", m, 18+rnd.IntN(5), pick("0.1", "-0.1", ""))
		}
		calibrations = append(calibrations, text)
	}
	for range 5 {
		var text strings.Builder
		text.WriteString(readingsHeader + "\n")
		for range 10 {
			visit := rnd.IntN(6)
			text.WriteString(fmt.Sprintf("V%d,%s,20%02d-02-06,annual,T1,M%d,%s,%s,9.%d,4.9,%s,181,19\n", visit,
				pick("BX-0", "BX-1", "BX-2", "bx-3", "BX-9"), 15+visit%2*4,
				rnd.IntN(2), pick("high", "low"), pick("found-so", "left-so"), rnd.IntN(3), pick("17", "<5", "OL", "18", "bad")))
		}
		readings = append(readings, text.String())
	}
	return registers, readings, calibrations
}

// standing is what the warehouse holds in the end, without what names files:
// how many lines have which outcome, and every standing reading in its context.
func standing(t *testing.T, r Result, w *queries.Warehouse) []string {
	ctx := context.Background()
	var all []string
	files, err := w.Files(ctx)
	require.NoError(t, err)
	var sum [6]int64
	for _, f := range files {
		for i, n := range []int64{f.Accepted, f.Superseded, f.Duplicate, f.Doubtful, f.SetAside, f.Lines} {
			sum[i] += n
		}
	}
	all = append(all, fmt.Sprint("outcomes ", sum))
	f := fatesOf(t, r, w)
	for at, v := range f.values {
		if strings.HasPrefix(at, "unit ") {
			all = append(all, fmt.Sprint(at, " ", v))
			continue
		}
		all = append(all, fmt.Sprint(v))
	}
	slices, err := w.Slices(ctx, "")
	require.NoError(t, err)
	for _, s := range slices {
		for r, err := range w.Readings(ctx, s) {
			require.NoError(t, err)
			all = append(all, fmt.Sprint("calibrated ", r.UnitKey, r.Day, r.Fire, r.Condition, r.Analyzer, dayText(r.Calibrated), r.AgeDays))
		}
	}
	return sortedTexts(all)
}

func sortedTexts(all []string) []string { slices.Sort(all); return all }

// TestOrderOfExportsMakesNoDifference: under whatever names, and so in whatever
// order, exports are read, the same readings stand in the same context and as
// many lines have each outcome. Days of exports are in the names; two of each
// kind share one.
func TestOrderOfExportsMakesNoDifference(t *testing.T) {
	fleets, orders := 1, 2
	if long() {
		fleets, orders = 12, 6
	}
	for seed := range fleets {
		rnd := rand.New(rand.NewPCG(uint64(seed), 7))
		registers, readings, calibrations := invented(rnd)
		var want []string
		for n := range orders {
			files := map[string]string{
				"15.toml": strings.NewReplacer(`"tests"`, `"15"`, `"tests*.csv"`,
					`"*_r_*.csv"`).Replace(readingsLayout(fileKeys{"export": "from = \"name\"\npattern = \"yyyy-mm-dd\""})),
				"u.toml": strings.Replace(unitsLayoutOf("15"), `"15_units*.csv"`, `"*_u_*.csv"`, 1),
				"c.toml": "name = \"c\"\nrecord = \"analyzers\"\nsource = \"mill\"\n[match]\nnames = [\"*_c_*.csv\"]\n[export_day]\n" +
					"from = \"name\"\npattern = \"yyyy-mm-dd\"\n" +
					"[[column]]\nheader = \"Meter\"\nfield = \"analyzer\"\n[[column]]\nheader = \"Checked\"\nfield = \"calibrated\"\n[[column]]\n" +
					"header = \"Off\"\nfield = \"found_error\"\n",
			}
			place := rnd.Perm(100)
			for kind, texts := range map[string][]string{"r": readings, "u": registers, "c": calibrations} {
				for i, text := range texts {
					files[fmt.Sprintf("%02d_%s_2023-0%d-01.csv", place[i+10*int(kind[0]-'a')%80], kind, 1+min(i, 3))] = text
				}
			}
			o := folder(t, files)
			o.AsOf = mustDay(t, "2023-12-01")
			r, w := build(t, o, o.AsOf)
			got := standing(t, r, w)
			if n == 0 {
				want = got
				require.Greater(t, len(want), 20)
			}
			assert.Equal(t, want, got, "fleet %d, order %d", seed, n)
		}
	}
}
