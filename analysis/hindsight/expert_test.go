package hindsight

import (
	"encoding/csv"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// expertRows are the tables the expert's script reads.
type expertRows struct{ readings, ask [][]string }

// expertAir is the spread of a day's air about the season, K, in these worlds.
const expertAir = 4

// addFit adds the units of a fire: their readings in segments, and what is asked.
func (e *expertRows) addFit(o *lookedAt, f *worlds.DemoFleet, name string, fires []judge.Fire) {
	for _, u := range worlds.NewOracle(f, &o.rules.List.Judge, o.Day, false).Fires(o.known, fires...) {
		h, s, unit := u.History, &u.Series, u.Unit
		p := pastOf(h, u.Fire, o.Day, &o.rules.List.Judge)
		circumstances := func(t, airK float64) []string {
			return []string{decimal(t), string(h.Unit.Control), decimal(p.vent), decimal(-s.Start), decimal(airK)}
		}
		last, from := -1, s.Start
		for _, x := range drift.Segment(s, drift.DefaultConfig()) {
			v := &s.Visits[x.Visit]
			r := &v.Readings[x.Reading]
			last = x.Segment
			if r.Use != drift.ForFit {
				continue
			}
			air := f.AirC(unit, day.Day(math.Round(v.T*daysPerYear))) - 10
			e.readings = append(e.readings, append([]string{name, h.Unit.Serial, strconv.Itoa(x.Segment), decimal(r.Y), "a" +
				strconv.Itoa(r.Analyzer)}, circumstances(v.T, air)...))
		}
		if n := len(s.Visits); n > 0 {
			from = s.Visits[n-1].T
			if v := &s.Visits[n-1]; v.Adjusted == drift.Yes && !slices.ContainsFunc(v.Readings,
				func(r drift.Reading) bool { return r.Kind == drift.AsLeft }) {
				last++ // set, and not written down
			}
		}
		band := p.band
		day := max(o.rules.Model.Planned(h), o.Day)
		e.ask = append(e.ask, append([]string{
			name, h.Unit.Serial, strconv.Itoa(last), decimal(from), decimal(band.Rich), decimal(band.Lean),
			decimal(expertAir), string(u.Fire),
		},
			circumstances(worlds.InYears(day), f.ExpectedAirC(unit, day)-10)...))
	}
}

func decimal(v float64) string { return strconv.FormatFloat(v, 'f', 6, 64) }

// save writes a table.
func save(t *testing.T, path, head string, rows [][]string) {
	t.Helper()
	var b strings.Builder
	b.WriteString(head + "\n")
	w := csv.NewWriter(&b)
	require.NoError(t, w.WriteAll(rows))
	require.NoError(t, os.WriteFile(path, []byte(b.String()), 0o600))
}

// ask runs the script on an origin and gives its probabilities.
func askExpert(t *testing.T, o *lookedAt, f *worlds.DemoFleet) map[fireOf]float64 {
	t.Helper()
	e := &expertRows{}
	e.addFit(o, f, "high", []judge.Fire{judge.High, judge.Single})
	e.addFit(o, f, "low", []judge.Fire{judge.Low})
	out := map[fireOf]float64{}
	for i, v := range e.answers(t) {
		row := e.ask[i]
		out[fireOf{row[1], judge.Fire(row[7])}] = v
	}
	return out
}

// answers runs the script and gives its probability for each row asked.
func (e *expertRows) answers(t *testing.T) []float64 {
	t.Helper()
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	save(t, at("readings.csv"), "fit,unit,segment,y,analyzer,t,control,vent,age,air", e.readings)
	save(t, at("ask.csv"), "fit,unit,segment,from,rich,lean,airsd,fire,t,control,vent,age,air", e.ask)
	said, err := exec.Command("Rscript", "testdata/expert.R", at("readings.csv"), at("ask.csv"), at("answer.csv")).CombinedOutput()
	require.NoError(t, err, string(said))
	text, err := os.ReadFile(at("answer.csv"))
	require.NoError(t, err)
	lines := strings.Fields(string(text))
	require.Len(t, lines, len(e.ask))
	out := make([]float64, len(lines))
	for i, line := range lines {
		out[i], err = strconv.ParseFloat(line, 64)
		require.NoError(t, err, e.ask[i])
	}
	return out
}

// The model's order is not behind what a statistician's script makes of the same
// readings with lme4 by more than 0.02 in area, in the world both describe. A
// reference run of the long suite, where R and lme4 are installed (tried: R 4.2.2
// with lme4 1.1-31).
func TestExpertsScript(t *testing.T) {
	if os.Getenv("FLUEDRIFT_LONG") == "" {
		t.Skip("a reference run of the long suite")
	}
	if said, err := exec.Command("Rscript", "-e", "library(lme4)").CombinedOutput(); err != nil {
		t.Skipf("needs R with lme4: %v %s", err, said)
	}
	const seeds = 4
	var model, expert float64
	for seed := range seeds {
		f, origins := lookedBack(t, uint64(seed+1), 400, demo.Plain(), []day.Day{asOf - 548}, func(e *estimate.Config) { e.SampleUnits = 400 })
		chances := askExpert(t, origins[0], f)
		cases, own := casesOf(origins), casesOf(origins)
		own = slices.Clone(own)
		for i := range cases {
			cases[i].Order[Model] = chances[fireOf{cases[i].Serial, cases[i].Fire}]
		}
		trulyOut(f, cases)
		trulyOut(f, own)
		a, b := byUnit(own), byUnit(cases)
		t.Logf("seed %d: model %.3f, expert %.3f", seed+1, a.auc(Model, nil), b.auc(Model, nil))
		model, expert = model+a.auc(Model, nil)/seeds, expert+b.auc(Model, nil)/seeds
	}
	t.Logf("mean true AUC: model %.3f, expert's script %.3f", model, expert)
	require.Greater(t, model, expert-0.02)
}
