package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis/fleet"
	"fluedrift/datasets/companies"
	"fluedrift/ingest/layout"
	"fluedrift/model/day"
)

// A companyHour is what a company gets of start, its answers and a night.
type companyHour struct {
	companies.Company
	dir      string
	asked    int // questions, before anything is answered
	commands int
	started  string // what the last start printed
	code     int    // of the night
	said     string // by the night
	mapped   []string
	unmapped []string
	lines    map[string]int64 // of the records, by outcome
	loaded   []string
	refused  []string // files with records that are not read
	right    int      // readings of the truth that are read as they are
	wrong    []string
	phantoms []string
}

// drafted writes a company's exports and starts on them, before anybody answers.
func drafted(t *testing.T, c companies.Company) *companyHour {
	t.Helper()
	h := &companyHour{Company: c, dir: t.TempDir(), lines: map[string]int64{}}
	for _, f := range c.Files {
		path := filepath.Join(h.exports(), filepath.FromSlash(f.Name))
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, f.Data, 0o644))
	}
	h.start(t)
	h.countColumns(t)
	if m := regexp.MustCompile(`(?m)^(\d+) questions?,`).FindStringSubmatch(h.started); m != nil {
		_, err := fmt.Sscan(m[1], &h.asked)
		require.NoError(t, err)
	}
	return h
}

// through answers what the people of the company know, and makes a list.
func (h *companyHour) through(t *testing.T) {
	t.Helper()
	for range 2 { // an answer may open a question
		if h.answer(t) {
			h.start(t)
		}
	}
	h.night(t)
	h.countLines(t)
	h.countReadings(t)
}

func (h *companyHour) exports() string { return filepath.Join(h.dir, "exports") }

// streams are those of a command on the day that the exports are handed over.
func (h *companyHour) streams(out, errs *bytes.Buffer) streams {
	s := quietStreams(out, errs)
	s.now = func() time.Time { return h.AsOf.Time().Add(12 * time.Hour) }
	return s
}

func (h *companyHour) start(t *testing.T) {
	t.Helper()
	var out, errs bytes.Buffer
	require.Zero(t, run(context.Background(), []string{"start", "-dir", h.dir, h.exports()}, h.streams(&out, &errs)), errs.String())
	h.started = out.String()
	h.commands++
}

func (h *companyHour) night(t *testing.T) {
	t.Helper()
	var out, errs bytes.Buffer
	h.code = run(context.Background(), []string{"nightly", "-config", filepath.Join(h.dir, "fluedrift.toml")}, h.streams(&out, &errs))
	h.said = out.String() + errs.String()
	h.commands += 2 // and list
}

// answer writes what the people of the company know into decisions.toml, and reports
// whether that changed it.
func (h *companyHour) answer(t *testing.T) bool {
	t.Helper()
	path := filepath.Join(h.dir, decisionsName)
	text, err := os.ReadFile(path)
	if os.IsNotExist(err) {
		return false
	}
	require.NoError(t, err)
	var lines []string
	changed := false
	for line := range strings.Lines(string(text)) {
		one := map[string]string{}
		if _, err := toml.Decode(line, &one); err == nil {
			for id, given := range one {
				if a := h.known(id); given == "" && a != "" {
					line, changed = fmt.Sprintf("%s = %q\n", quoted(id), a), true
				}
			}
		}
		lines = append(lines, line)
	}
	require.NoError(t, os.WriteFile(path, []byte(strings.Join(lines, "")), 0o644))
	return changed
}

// known is the answer to a question; "" where the people of the company have none.
func (h *companyHour) known(id string) string {
	k := h.Known
	for _, x := range k.Targets {
		for fire, co2 := range map[string]float64{"high": x.High, "low": x.Low} {
			if id == fmt.Sprintf("target of %s, %s, %s fire", x.ModelLine, x.Fuel, fire) {
				return fmt.Sprintf("%g %g %g", co2, k.SettingBand, k.ActionBand)
			}
		}
	}
	if id == "ids of boilers" && k.IDShape != "" {
		return "yes"
	}
	label, key, _ := strings.Cut(id, ": ")
	if column, word, ok := strings.Cut(key, ` "`); ok {
		word = strings.TrimSuffix(word, `"`)
		if ours := k.Words[column+"|"+word]; ours != "" {
			return ours
		}
		return k.Words[word]
	}
	switch {
	case key == "condition":
		return "as found"
	case key == "basis of CO":
		for header, basis := range k.COBasis {
			if strings.Contains(h.headers(label), header) {
				return basis
			}
		}
	case key == "time zone":
		return k.Zone
	case key == "rows":
		return h.rowsAre(label)
	case strings.HasPrefix(key, "days of ") && k.DayOrder == "day first":
		return "dd.mm.yyyy"
	}
	return ""
}

// rowsAre says what the rows of the files of a label are.
func (h *companyHour) rowsAre(label string) string {
	for _, f := range h.Files {
		if ok, _ := filepath.Match(label, filepath.Base(f.Name)); ok && f.Record != "" {
			return f.Record
		}
	}
	return "none of these"
}

// headers are those of the useful columns of the files of a label.
func (h *companyHour) headers(label string) string {
	var all []string
	for _, f := range h.Files {
		if ok, _ := filepath.Match(label, filepath.Base(f.Name)); ok {
			for _, c := range f.Useful {
				all = append(all, c.Header...)
			}
		}
	}
	return strings.Join(all, "; ")
}

// countColumns counts the useful columns that the layouts take for what they are; the
// same column of several files of a kind once.
func (h *companyHour) countColumns(t *testing.T) {
	t.Helper()
	layouts, _, err := layout.LoadSound(filepath.Join(h.dir, "layouts"))
	require.NoError(t, err)
	seen := map[string]bool{}
	for _, f := range h.Files {
		for _, u := range f.Useful {
			name := fmt.Sprintf("%s: %s is %s", f.Record, strings.Join(u.Header, " / "),
				strings.Join(strings.Fields(fmt.Sprint(u.Field, " ", u.Fire, " ", u.Cond)), " "))
			if !seen[name] {
				seen[name] = true
				if takes(layouts, f, u) {
					h.mapped = append(h.mapped, name)
				} else {
					h.unmapped = append(h.unmapped, name)
				}
			}
		}
	}
	slices.Sort(h.unmapped)
}

// takes reports whether a layout of a file takes a column for what it is.
func takes(layouts []*layout.Layout, f companies.File, u companies.Column) bool {
	for _, l := range layouts {
		if l.Record != f.Record || !slices.ContainsFunc(l.Match.Names, func(p string) bool {
			ok, _ := filepath.Match(p, filepath.Base(f.Name))
			return ok
		}) {
			continue
		}
		for _, c := range l.Columns {
			same := c.Field == u.Field || u.Field == "air_from" && c.Field != "" || l.Record == layout.Analyzers && c.Field == u.Field+"_co2"
			made := slices.ContainsFunc(l.Sources(c.Header), func(from string) bool { return named(from, u.Header) })
			if same && c.Fire == u.Fire && c.Condition == u.Cond && (made || named(c.Header, u.Header)) &&
				(u.Unit == "" || strings.HasPrefix(c.Unit, u.Unit)) {
				return true
			}
		}
	}
	return false
}

// named reports a header that is made of the parts.
func named(header string, parts []string) bool {
	folded := strings.ToLower(header)
	for _, p := range parts {
		_, rest, ok := strings.Cut(folded, strings.ToLower(p))
		if !ok {
			return false
		}
		folded = rest
	}
	return folded == ""
}

// countLines counts the lines of the files by their outcomes.
func (h *companyHour) countLines(t *testing.T) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(h.dir, "lists", "latest", "run.json"))
	if err != nil {
		h.refused = append(h.refused, "no list: "+h.said)
		return
	}
	var run struct {
		Inputs []struct {
			Name, Outcome                                                            string
			Lines, Header, Blank, Skipped, Accepted, Superseded, Duplicate, Doubtful int64
			SetAside                                                                 int64 `json:"set_aside"`
		}
	}
	require.NoError(t, json.Unmarshal(text, &run))
	for _, f := range h.Files {
		if f.Record == "" {
			continue
		}
		was := ""
		for _, in := range run.Inputs {
			if in.Name != f.Name {
				continue
			}
			was = in.Outcome
			h.lines["records"] += in.Lines - in.Header - in.Blank - in.Skipped
			for outcome, n := range map[string]int64{
				"accepted": in.Accepted, "superseded": in.Superseded, "duplicate": in.Duplicate, "doubtful": in.Doubtful, "set aside": in.SetAside,
			} {
				h.lines[outcome] += n
			}
		}
		if was == "read" {
			h.loaded = append(h.loaded, f.Name)
		} else {
			h.refused = append(h.refused, f.Name+": "+was)
		}
	}
}

// countReadings counts the readings of the truth that are read as they are, and the
// boilers that nobody has.
func (h *companyHour) countReadings(t *testing.T) {
	t.Helper()
	if len(h.loaded) == 0 {
		return
	}
	w, done := h.built(t)
	defer done()
	records, err := fleet.Load(context.Background(), w, "")
	require.NoError(t, err)
	type place struct {
		id, fire, condition string
		day                 day.Day
	}
	got := map[place][2]float64{}
	real := map[string]bool{}
	for _, b := range h.Truth.Boilers {
		real[b.ID] = true
	}
	for _, x := range records.Histories {
		if !real[x.Unit.Serial] {
			h.phantoms = append(h.phantoms, x.Unit.Serial)
		}
		for _, r := range x.Readings {
			got[place{x.Unit.Serial, string(r.Fire), string(r.Recorded), r.Day}] = [2]float64{r.CO2Percent, r.COPPM}
		}
	}
	for _, r := range h.Truth.Readings {
		if r.Fault == companies.NoPoint || r.Fault == companies.Corrected || r.Fault == companies.Doubled {
			continue // a person decides
		}
		v, ok := got[place{r.ID, string(r.Fire), string(r.Condition), r.Day}]
		coRight := math.Abs(v[1]-r.COPPM) <= 0.6+0.02*r.COPPM || math.IsNaN(v[1]) && math.IsNaN(r.COPPM)
		if ok && math.Abs(v[0]-r.CO2) < 1e-6 && coRight {
			h.right++
			continue
		}
		h.wrong = append(h.wrong, fmt.Sprintf("%s:%s:%d %s %s %s %s: CO2 %g CO %g, read %v %v", r.File, r.Sheet, r.Row, r.ID, r.Day, r.Fire,
			r.Condition,
			r.CO2, r.COPPM, ok, v))
	}
}

// Bounds of a first hour: what a newcomer should get. Reached says what these companies
// get now, most of it better.
const (
	wantMapped   = 0.91 // of the useful columns, by the draft
	mostAsked    = 12
	mostCommands = 5
)

var reached = map[string]struct {
	mapped   int // useful columns that are mapped, of the number in companies_test of the data set
	right    int // readings read as they are
	phantoms int
	accepted float64 // share of the lines of records
	codes    []int
}{
	"branch": {51, 2020, 0, 0.97, []int{exitLook}},
	"app":    {46, 2128, 0, 0.97, []int{exitLook}},
}

// What the drafts map of each company, and what they ask.
func TestFirstHourOfOtherCompanies(t *testing.T) {
	aWholeNight(t) // it takes as long
	all, err := companies.All(1)
	require.NoError(t, err)
	for _, c := range all {
		t.Run(c.Name, func(t *testing.T) {
			h := drafted(t, c)
			n := len(h.mapped) + len(h.unmapped)
			t.Logf("%d of %d useful columns mapped (bound %.0f %%), %d questions; not mapped:\n%s", len(h.mapped), n, 100*wantMapped, h.asked,
				strings.Join(h.unmapped, "\n"))
			require.GreaterOrEqual(t, len(h.mapped), min(reached[c.Name].mapped, int(math.Ceil(wantMapped*float64(n)))))
			require.LessOrEqual(t, h.asked, mostAsked)
		})
	}
}

// What a night makes of each company with what its people answer.
func TestFirstNightOfOtherCompanies(t *testing.T) {
	aWholeNight(t)
	all, err := companies.All(1)
	require.NoError(t, err)
	for _, c := range all {
		t.Run(c.Name, func(t *testing.T) {
			h := drafted(t, c)
			h.through(t)
			t.Logf("files read %q, not %q; lines %v; night %d", h.loaded, h.refused, h.lines, h.code)
			t.Logf("%d readings right, %d not, the first:\n%s", h.right, len(h.wrong), strings.Join(h.wrong[:min(len(h.wrong), 20)], "\n"))
			require.LessOrEqual(t, h.commands, mostCommands)
			require.Contains(t, reached[c.Name].codes, h.code, h.said)
			require.LessOrEqual(t, len(h.phantoms), reached[c.Name].phantoms, "%q", h.phantoms)
			require.GreaterOrEqual(t, h.right, reached[c.Name].right)
			require.GreaterOrEqual(t, float64(h.lines["accepted"]), reached[c.Name].accepted*float64(h.lines["records"]), "%v", h.lines)
			listed := h.lines["superseded"] + h.lines["duplicate"] + h.lines["doubtful"] + h.lines["set aside"]
			require.Equal(t, h.lines["records"], h.lines["accepted"]+listed, "every line that is not accepted is listed: %v", h.lines)
			h.everyLineIsListed(t)
			h.copies(t)
			h.otherDecimal(t)
			h.callsAsRegister(t)
		})
	}
}
