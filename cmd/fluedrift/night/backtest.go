package night

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"time"

	"fluedrift/analysis"
	"fluedrift/analysis/hindsight"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/day"
)

// Backtest is what a night reads of a look back: hindsight.json.
type Backtest struct {
	AsOf  string `json:"as_of"`
	Line  string `json:"line"`
	Ahead bool   `json:"ahead_of_simple_rules"`
	// Verdict compares the forecast with Rule, the best simple rule: "ahead", "not
	// clearly ahead" or "behind"; "too few looks" to compare, then without a rule.
	Verdict string                   `json:"verdict"`
	Rule    string                   `json:"best_simple_rule"`
	Map     *hindsight.Recalibration `json:"recalibration"` // nil: the probabilities are not off beyond noise, or the map does not help

	corrected bool // the night's probabilities, by Map
}

// BackNoted is what run.json keeps of the look back a night went by.
type BackNoted struct {
	AsOf      string `json:"as_of"`
	Line      string `json:"line"`
	Ahead     bool   `json:"ahead_of_simple_rules"`
	Corrected bool   `json:"probabilities_corrected"`
}

// record is what run.json keeps; nil where there was no look back.
func (r *Backtest) record() *BackNoted {
	if r == nil {
		return nil
	}
	return &BackNoted{AsOf: r.AsOf, Line: r.Line, Ahead: r.Ahead, Corrected: r.corrected}
}

// newestBacktest finds the newest look back older than a day; nil where there is
// none. One that cannot be read is passed over and named.
func newestBacktest(lists, before string) (*Backtest, string) {
	folder := filepath.Join(lists, "hindsight")
	entries, err := os.ReadDir(folder)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, "hindsights cannot be read: " + err.Error()
	}
	slices.Reverse(entries)
	passed := ""
	for _, e := range entries {
		if _, err := time.Parse(time.DateOnly, e.Name()); err != nil || e.Name() >= before {
			continue
		}
		text, err := os.ReadFile(filepath.Join(folder, e.Name(), "hindsight.json"))
		one := &Backtest{}
		if err == nil {
			err = json.Unmarshal(text, one)
		}
		if err == nil && one.AsOf == e.Name() && one.Line != "" {
			return one, passed
		}
		passed = "hindsight of " + e.Name() + " passed over: it cannot be read"
	}
	return nil, passed
}

// staleDays is the age from which a look back is too old to speak for tonight's list.
const staleDays = 100

// headLine is what the watchlist says of the newest look back; "" without one.
func (r *Backtest) headLine() string {
	if r == nil {
		return ""
	}
	return r.Line
}

// age is how many days before a day it was made.
func (r *Backtest) age(asOf day.Day) int32 {
	day, known := r.day()
	if !known {
		return 0
	}
	return int32(asOf - day)
}

// day is the day it looked back from.
func (r *Backtest) day() (day day.Day, known bool) {
	day, err := settings.DayOf(r.AsOf)
	return day, err == nil
}

// short is what a night's one line says of it.
func (r *Backtest) short() string {
	switch {
	case r == nil:
		return "no hindsight"
	case r.Verdict == string(hindsight.Behind):
		return "by the hindsight of " + r.AsOf + " a simple rule puts units in a better order: " + r.Rule
	case r.Verdict == string(hindsight.TooFew):
		return "the hindsight of " + r.AsOf + " has too few cases to compare the forecast with simple rules"
	case !r.Ahead && r.Rule != "":
		return "by the hindsight of " + r.AsOf + " the forecast is not clearly better than " + r.Rule
	case !r.Ahead:
		return "by the hindsight of " + r.AsOf + " the forecast is not clearly better than every simple rule"
	}
	return "hindsight of " + r.AsOf
}

// lookedBack finds the newest look back older than the night's day and, where it
// found the probabilities off beyond noise and the configuration lets it, corrects
// the forecasts by its map, marked on each and said in the head of the list.
func lookedBack(e *evidence, forecasts []*analysis.Forecast) (back *Backtest, notes []string) {
	back, passed := newestBacktest(e.folder, settings.DayText(e.asOf))
	if passed != "" {
		notes = append(notes, passed)
	}
	if back != nil && back.Verdict == string(hindsight.Behind) {
		notes = append(notes, "by the hindsight of "+back.AsOf+" a simple rule puts this fleet's units in a better "+
			"order than the forecast: "+back.Rule)
	}
	if back != nil && back.age(e.asOf) > staleDays {
		back.Line += fmt.Sprintf(" It is %d days old: run fluedrift hindsight again.", back.age(e.asOf))
	}
	if back == nil || back.Map == nil {
		return back, notes
	}
	if !e.Config.Hindsight.Recalibrate {
		back.Line += " Probabilities on this list are not corrected by it, as hindsight.recalibrate asks."
		return back, notes
	}
	back.corrected = true
	from, _ := back.day()
	for _, f := range forecasts {
		back.Map.Apply(f, from)
	}
	back.Line += " Probabilities on this list are corrected by it."
	return back, notes
}
