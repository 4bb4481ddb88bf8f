package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/fleet"
	studypage "fluedrift/analysis/report/study"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/study"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
	"fluedrift/model/combustion"
	"fluedrift/model/judge"
)

// studied makes the study of 280 units of the demo's world, many of them with
// altered vents, and writes its files.
func studied(t *testing.T) (*study.Study, string) {
	t.Helper()
	w := demo.Default()
	w.ReroutedShare = 0.9
	const asOf = 20514 // 2026-03-02
	f := worlds.Demo(demo.Options{Units: 280, Years: 12, Seed: 1, AsOf: asOf, World: w})
	values := f.Histories()
	var all []*judge.History
	for i := range values {
		all = append(all, &values[i])
	}
	fuels, err := combustion.Fuels(map[string]float64{"natural gas": 11.8, "propane": 13.7}, combustion.AirO2Field)
	require.NoError(t, err)
	rules := estimate.DefaultConfig(asOf, judge.DefaultConfig(fuels))
	judged, err := fleet.Judge(t.Context(), all, fleet.Options{List: watch.DefaultConfig(asOf, rules.Judge), Model: rules})
	require.NoError(t, err)
	s, err := study.Run(judged, study.Config{Bound: 0.05, Draws: 400, Seed: 1, Simulations: 5, Primary: study.Primary{Fire: judge.High}})
	require.NoError(t, err)
	s.Model, err = study.ModelOf(t.Context(), judged, estimate.Stored{})
	require.NoError(t, err)
	folder := t.TempDir()
	require.NoError(t, publish.WriteBeside(new(settings.Config), folder, ventsForms(context.Background(), units.SI, s)))
	return s, folder
}

// The files of a study say the same thing to whoever reads them.
func TestGoldenVentStudy(t *testing.T) {
	aWholeNight(t)
	s, folder := studied(t)
	t.Run("the Parquet file is the CSV", func(t *testing.T) { sameRows(t, folder) })
	t.Run("the same study gives the same bytes", func(t *testing.T) { sameBytes(t, s, folder) })
	t.Run("every column is explained", func(t *testing.T) { everyColumn(t, folder) })
	t.Run("R makes the declared comparison again", func(t *testing.T) { remadeInR(t, s, folder) })
	t.Run("the page shows the study's figures", func(t *testing.T) { pageFigures(t, s, folder) })
	t.Run("the page of one vent", func(t *testing.T) { pageOfOneVent(t, s) })
	t.Run("the page is read in ten minutes", func(t *testing.T) { tenMinutes(t, folder) })
	t.Run("the study of the demo's world is as it was", func(t *testing.T) { asBefore(t, s, folder) })
}

func readTable(t *testing.T, folder, name string) [][]string {
	t.Helper()
	f, err := os.Open(filepath.Join(folder, name))
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	return rows
}

// sameRows holds every cell of rows.parquet to that of rows.csv.
func sameRows(t *testing.T, folder string) {
	want := readTable(t, folder, "rows.csv")
	require.Len(t, sameParquet(t, want, filepath.Join(folder, "rows.parquet")), 3) // text, numbers and days are what they are
	require.Greater(t, len(want), 1000)
}

// sameBytes writes all files again.
func sameBytes(t *testing.T, s *study.Study, folder string) {
	again := t.TempDir()
	require.NoError(t, publish.WriteBeside(new(settings.Config), again, ventsForms(context.Background(), units.SI, s)))
	for _, f := range ventsForms(context.Background(), units.SI, s) {
		a, err := os.ReadFile(filepath.Join(folder, f.Name))
		require.NoError(t, err)
		b, err := os.ReadFile(filepath.Join(again, f.Name))
		require.NoError(t, err)
		require.True(t, bytes.Equal(a, b), f.Name)
	}
}

// everyColumn holds the three dictionaries to the headers of the files.
func everyColumn(t *testing.T, folder string) {
	var listed []string
	for _, r := range readTable(t, folder, "dictionary.csv")[1:] {
		listed = append(listed, r[0]+" "+r[1])
		require.NotEmpty(t, r[2], r)
	}
	var pack struct {
		Resources []struct {
			Name   string
			Schema struct{ Fields []struct{ Name string } }
		}
	}
	var web struct {
		Tables []struct {
			URL         string
			TableSchema struct{ Columns []struct{ Titles string } }
		}
	}
	for name, to := range map[string]any{"datapackage.json": &pack, "csv-metadata.json": &web} {
		b, err := os.ReadFile(filepath.Join(folder, name))
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(b, to))
	}
	var inPack, inWeb, inFiles []string
	for _, r := range pack.Resources {
		for _, f := range r.Schema.Fields {
			inPack = append(inPack, r.Name+" "+f.Name)
		}
	}
	for _, r := range web.Tables {
		for _, c := range r.TableSchema.Columns {
			inWeb = append(inWeb, strings.TrimSuffix(r.URL, ".csv")+" "+c.Titles)
		}
	}
	for _, name := range []string{
		"rows", "effects", "per-metre", "sensitivity", "physics", "spreads", "model", "unconfirmed", "level-steps",
		"dictionary",
	} {
		for _, c := range readTable(t, folder, name+".csv")[0] {
			inFiles = append(inFiles, name+" "+c)
		}
	}
	assert.Equal(t, inFiles, listed)
	assert.Equal(t, inFiles, inPack)
	assert.Equal(t, inFiles, inWeb)
}

// remadeInR runs the script where R and lme4 are installed: least squares, and the
// errors by site where clubSandwich is there as well, are those of the study; so is
// the mixed model.
func remadeInR(t *testing.T, s *study.Study, folder string) {
	onlyLong(t) // R takes longer than the study; the study's own tests hold it to what R gave
	if exec.Command("Rscript", "-e", `quit(status = !nzchar(system.file(package = "lme4")))`).Run() != nil {
		t.Skip("model.R not run: R with lme4 is not installed")
	}
	c := exec.Command("Rscript", "model.R")
	c.Dir = folder
	out, err := c.Output()
	require.NoError(t, err)
	rows, err := csv.NewReader(strings.NewReader(string(out))).ReadAll()
	require.NoError(t, err, string(out))
	sites := slopeBySite(t, s)
	seen := 0
	for _, r := range rows[1:] {
		value, _ := strconv.ParseFloat(r[2], 64)
		se, _ := strconv.ParseFloat(r[3], 64)
		df, _ := strconv.ParseFloat(r[4], 64)
		mixed := strings.HasPrefix(r[0], "mixed")
		if r[1] != "vent" {
			continue
		}
		seen++
		want := declaredEffect(t, s).Contrast
		if mixed {
			want = sites.Contrast
		}
		t.Log(r)
		assert.InDelta(t, want.Value, value, 1e-4*want.SE, r) // the file's six digits, and where two searches end
		if !math.IsNaN(se) && r[3] != "NA" {
			assert.InEpsilon(t, want.SE, se, 1e-4, r)
		}
		if r[4] != "NA" {
			assert.InEpsilon(t, want.DF, df, 1e-4, r)
		}
	}
	require.Equal(t, 2, seen)
}

func declaredEffect(t *testing.T, s *study.Study) *study.Effect {
	t.Helper()
	for i := range s.Effects {
		if s.Effects[i].Primary {
			return &s.Effects[i]
		}
	}
	t.Fatal("no effect is declared")
	return nil
}

func slopeBySite(t *testing.T, s *study.Study) study.Slope {
	t.Helper()
	for _, v := range s.Sensitivities {
		if v.Group == study.GroupSites {
			return v.Slopes[v.Declared]
		}
	}
	t.Fatal("no slope by site")
	return study.Slope{}
}

var (
	tags    = regexp.MustCompile(`<[^>]*>`)
	figures = regexp.MustCompile(`(?s)<figure[^>]*>(.*?)</figure>`)
	hidden  = regexp.MustCompile(`(?s)<details[^>]*><summary>(.*?)</summary>.*?</details>`)
	drawing = regexp.MustCompile(`(?s)<svg.*?</svg>|<style>.*?</style>`)
	letters = regexp.MustCompile(`\pL{2,}`)
)

func readPage(t *testing.T, folder string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(folder, "report.html"))
	require.NoError(t, err)
	return string(b)
}

// pageFigures: every figure has a caption that says what it shows and a name for
// those who do not see it, nothing is asked for from elsewhere, and tables show what
// the study found.
func pageFigures(t *testing.T, s *study.Study, folder string) {
	page := readPage(t, folder)
	all := figures.FindAllStringSubmatch(page, -1)
	require.Greater(t, len(all), 20)
	for _, f := range all {
		require.Regexp(t, `<svg role="img" aria-label="[^"]{10,}"`, f[1])
		require.Regexp(t, `<figcaption>[^<]{40,}</figcaption>`, f[1])
	}
	for _, no := range []string{"<script", "NaN", "src=", "href=\"http", "url(", "@import"} {
		require.False(t, strings.Contains(page, no), no)
	}
	for _, c := range words.VentChecklist(units.SI, s) {
		require.True(t, strings.Contains(page, "<section id="+c.Section+">"), c.Section)
	}
	shown := tags.ReplaceAllString(strings.ReplaceAll(page, "&#43;", "+"), "|")
	says := func(text string) { require.True(t, strings.Contains(shown, text), text) }
	main := 0
	for _, m := range study.Metres(s) {
		if m.Why != nil {
			continue
		}
		main++
		c := m.Estimates[0].Scaled(10)
		says(fmt.Sprintf("|%s|%s|%+.3f|%+.3f to %+.3f|%.3f|", m.Control, m.Fire, c.Value, c.Low, c.High, m.Holm))
		says(fmt.Sprintf("|%d, %d|", m.Units, m.Sites))
	}
	require.Greater(t, main, 8)
	require.Equal(t, 1, strings.Count(shown, "; declared\n"))
	for _, left := range words.LeftOut(&s.Flow) {
		says(fmt.Sprintf("pairs of readings left out: %s|%d", left.What, left.N))
	}
	for _, p := range s.Predictions {
		if p.NotMade == nil && p.Response == "CO2" && p.Measure == study.ByLength {
			says(fmt.Sprintf("|%+.3f to %+.3f|", p.Estimate.Low, p.Estimate.High))
		}
	}
	for _, v := range s.Sensitivities {
		if c := v.Slopes[v.Declared]; c.NotMade == nil {
			says(fmt.Sprintf("|%+.3f|%+.3f to %+.3f|", c.Value, c.Low, c.High))
		}
	}
}

// pageOfOneVent: a vent far beyond the data is called an extrapolation wherever a
// figure of it stands, and its ten nearest units are named.
func pageOfOneVent(t *testing.T, s *study.Study) {
	asked, err := readConfiguration("-at", "vent-length=900ft,elbows-90=3,diameter=8in,model-line="+s.Units[0].Line)
	require.NoError(t, err)
	a, err := s.At(asked)
	require.NoError(t, err)
	require.Len(t, a.Nearest, 10)
	var b strings.Builder
	require.NoError(t, studypage.WriteVentAnswer(&b, units.SI, s, studypage.VentAsked{Answer: &a, Asked: "vent-length=900ft <b>"}, nil))
	page := b.String()
	require.Equal(t, len(a.Expected), strings.Count(page, "<td>extrapolation\n"))
	require.NotContains(t, page, "<b>")
	require.NotContains(t, page, "NaN")
	require.Contains(t, page, "EXTRAPOLATION, outside the data: vent length 274 m")
	for _, n := range a.Nearest {
		require.Contains(t, page, "<th scope=row>"+n.Serial+"<td>")
	}
	require.Equal(t, 2, len(figures.FindAllString(page, -1)))
	require.Equal(t, 2, strings.Count(page, "<figcaption>"))
}

// tenMinutes: what is open at first is at most 2,000 words of two letters or more,
// ten minutes at 200 a minute (common practice, no source).
func tenMinutes(t *testing.T, folder string) {
	page := hidden.ReplaceAllString(drawing.ReplaceAllString(readPage(t, folder), ""), "$1")
	words := len(letters.FindAllString(tags.ReplaceAllString(page, " "), -1))
	t.Logf("%d words", words)
	require.Less(t, words, 2000)
	require.Greater(t, words, 500)
}

// asBefore holds the study of the demo's world to what it was; -update writes it.
func asBefore(t *testing.T, s *study.Study, folder string) {
	var b strings.Builder
	fmt.Fprintln(&b, words.VentsLine(units.SI, s))
	fmt.Fprintln(&b, words.HowDeclared(s.PrimaryWhy))
	for _, line := range words.ModelLines(s) {
		fmt.Fprintln(&b, line)
	}
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	for _, e := range entries {
		fmt.Fprintln(&b, "file", e.Name())
	}
	for _, m := range study.Metres(s) {
		for _, e := range m.Estimates {
			c := e.Scaled(10)
			fmt.Fprintf(&b, "10 m: %s, %s: %+.3f (%.3f), %+.3f to %+.3f; p %.3f, %s\n",
				words.Comparison(m.Primary), words.EstimatedBy(e.By), c.Value, c.SE, c.Low, c.High, m.Holm, words.Beside(&m, 10, s.Settings.Bound))
		}
	}
	for _, e := range s.Effects {
		if c := e.Contrast; e.Measure == study.ByLength && e.Response == "CO2" &&
			(e.Fit == study.PooledFit || strings.HasPrefix(e.Name, "vent at ")) {
			fmt.Fprintf(&b, "%s, %s, %s, %s: %.3f (%.3f, df %.1f), %.3f to %.3f %s, %+v\n", e.Kind, e.Fire, e.Fit, e.Name, c.Value, c.SE, c.DF,
				c.Low, c.High, e.Unit, e.Counts)
		}
	}
	for _, i := range words.VentLimits(units.SI, s) {
		fmt.Fprintf(&b, "%s: %s\n", i.Asks, i.Says)
	}
	for _, c := range words.VentChecklist(units.SI, s) {
		fmt.Fprintf(&b, "%d %s: %s (%s)\n", c.Number, c.Asks, c.Says, c.Section)
	}
	golden := filepath.Join("testdata", "vents.golden.txt")
	if *update {
		require.NoError(t, os.WriteFile(golden, []byte(b.String()), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	old, now := strings.Split(string(want), "\n"), strings.Split(b.String(), "\n")
	for i := range min(len(old), len(now)) {
		require.Equal(t, old[i], now[i], "line %d of %s; look at all that moved, then -update", i+1, golden)
	}
	require.Len(t, now, len(old))
}
