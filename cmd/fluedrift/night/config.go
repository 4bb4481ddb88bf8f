package night

import (
	"context"
	"encoding/json"
	"maps"
	"runtime"
	"slices"
	"time"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/fleet"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// LoadFleet reads a fleet from a warehouse, or its one unit of the serial, without
// the CO of lines in whose place a mended one stands, and what the configuration
// says of its rules.
func LoadFleet(ctx context.Context, c *settings.Config, w *queries.Warehouse, serial string) (*fleet.Records, fleet.Config, error) {
	r, err := fleet.Load(ctx, w, serial)
	if err != nil {
		return nil, fleet.Config{}, err
	}
	if r.HasUnusedCO() {
		mended, err := mendedIn(ctx, c, w)
		if err != nil {
			return nil, fleet.Config{}, err
		}
		r.DropMended(mended.Has)
	}
	set, err := fleetConfig(ctx, c, w)
	return r, set, err
}

// JudgeFleet reads a fleet and judges it by the rules that the configuration and
// the records ask for.
func JudgeFleet(ctx context.Context, c *settings.Config, w *queries.Warehouse, serial string) (*fleet.Records, *fleet.Judged, error) {
	r, set, err := LoadFleet(ctx, c, w, serial)
	if err != nil {
		return nil, nil, err
	}
	j, err := fleet.Judge(ctx, r.Histories, r.Options(set))
	return r, j, err
}

// stayShare is the part of plan.book_sooner_days from which a unit that the list before
// booked sooner stays so.
const stayShare = 0.75

// fleetConfig is what the configuration says of a fleet's rules, and which exports
// could not be read.
func fleetConfig(ctx context.Context, c *settings.Config, w *queries.Warehouse) (set fleet.Config, err error) {
	if set.Gases, set.Fuels, err = c.Burnable(); err != nil {
		return set, settings.Fail(settings.Usage, "%w", err)
	}
	set.List = watch.DefaultConfig(0, judge.Config{})
	set.List.IntervalMonths, set.List.OutProbability = c.Plan.IntervalMonths, c.Model.OutProbability
	set.List.Visit, set.List.BookDays, set.List.StayDays = c.Visits(), c.Plan.BookSoonerDays, c.Plan.BookSoonerDays*stayShare
	set.List.COAttentionPPM, set.List.COUrgentPPM = c.Limits.COAttention, c.Limits.COUrgent
	for _, m := range c.Plan.ServiceMonths {
		set.List.ServiceMonths = append(set.List.ServiceMonths, time.Month(m))
	}
	if set.List.GroupWords, err = watch.GroupWordsOf(c.Output.GroupWords); err != nil {
		return set, settings.Fail(settings.Usage, "output.group_words: %w", err)
	}
	files, err := w.Files(ctx)
	set.List.NotRead = notReadIn(c, files)
	set.Model = c.Model.Apply(estimate.DefaultConfig(0, judge.Config{}))
	set.Model.Workers, set.Model.Visit = runtime.GOMAXPROCS(0), set.List.Visit
	return set, err
}

// UnitsOf are the units of measure of the reader: what the configuration says, else
// those of the register that a warehouse was made from.
func UnitsOf(ctx context.Context, c *settings.Config, w *queries.Warehouse) (units.Set, error) {
	files, err := w.Files(ctx)
	if err != nil {
		return units.SI, err
	}
	read := make([]settings.LayoutLines, len(files))
	for i := range files {
		read[i] = settings.LayoutLines{Layout: files[i].Layout, Lines: files[i].Accepted}
	}
	return settings.Units(c, read), nil
}

// unitsOfFiles gives the units of measure that the exports have, by their names.
func unitsOfFiles(e *evidence) func(file string) units.Set {
	byLayout, layouts := settings.RecordUnits(e.Config), map[string]string{}
	for i := range e.inputs {
		layouts[e.inputs[i].Name] = e.inputs[i].Layout
	}
	return func(file string) units.Set { return byLayout(layouts[file]) }
}

// notReadIn names the exports of which nothing was read: a unit that has no record
// may have one there.
func notReadIn(c *settings.Config, files []queries.File) string {
	var names []string
	for _, f := range inputRecords(files) {
		f.Ignored = !f.ours() && c.IsIgnored(f.Name)
		if f.Outcome == "refused" || f.Outcome == "incomplete" || f.notLookedInto() {
			names = append(names, OneLine(f.Name))
		}
	}
	return firstNames(names)
}

// CarriedNames are all columns the registers carry, in order of their names.
func CarriedNames(histories []*judge.History) []string {
	seen := map[string]bool{}
	for _, h := range histories {
		var texts map[string]any
		if h.Unit.Carry == "" || json.Unmarshal([]byte(h.Unit.Carry), &texts) != nil {
			continue
		}
		for name := range texts {
			seen[name] = true
		}
	}
	return slices.Sorted(maps.Keys(seen))
}
