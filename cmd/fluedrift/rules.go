package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"math"
	"runtime"
	"slices"
	"time"

	"fluedrift/analysis"
	"fluedrift/analysis/estimate"
	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/combustion"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// rulesOf makes the rules a fleet is judged by from the configuration, the
// targets in the warehouse and the histories used.
func rulesOf(ctx context.Context, c *settings.Config, asOf int32, w *queries.Warehouse, used []*judge.History) (watch.Rules, error) {
	burnt := map[string]bool{}
	for _, h := range used {
		for _, f := range h.Fuels {
			burnt[f.Fuel] = true
		}
	}
	r, err := rulesFor(ctx, c, asOf, w, burnt, judge.Resolutions(used))
	r.Judge.Pairs = r.Judge.PairsIn(used)
	return r, err
}

// rulesOfOne makes the same rules for the whole fleet of the warehouse without
// reading its histories, which takes too long where one unit is asked for.
func rulesOfOne(ctx context.Context, c *settings.Config, w *queries.Warehouse) (watch.Rules, error) {
	names, err := w.FuelNames(ctx)
	if err != nil {
		return watch.Rules{}, err
	}
	burnt := map[string]bool{}
	for _, name := range names {
		burnt[name] = true
	}
	values, err := w.GasValues(ctx)
	if err != nil {
		return watch.Rules{}, err
	}
	var shown judge.Shown
	for _, v := range values {
		if v.Gas == "co2" {
			shown.CO2(v.Source, v.Percent, int(v.Times))
		} else {
			shown.O2(v.Source, v.Percent, int(v.Times))
		}
	}
	r, err := rulesFor(ctx, c, w.AsOf(), w, burnt, shown.Resolutions())
	if err != nil {
		return r, err
	}
	var pairs judge.Pairs
	err = w.GasPairs(ctx, func(p *queries.GasPair) error {
		x := judge.Reading{CO2Percent: p.CO2Percent, O2Percent: p.O2Percent, CO2Decimals: p.CO2Decimals, O2Decimals: p.O2Decimals}
		pairs.Add(judge.PairOf{Source: p.Source, Analyzer: p.Analyzer}, r.Judge.PairWith(p.Source, &x), r.Judge.Fuels[p.Fuel], int(p.Times))
		return nil
	})
	r.Judge.Pairs = pairs.Fits()
	return r, err
}

func rulesFor(ctx context.Context, c *settings.Config, asOf int32, w *queries.Warehouse, burnt map[string]bool, shown map[string]judge.Resolution) (watch.Rules, error) {
	gases, fuels, err := c.Burnable()
	if err != nil {
		return watch.Rules{}, settings.Fail(settings.Usage, "%w", err)
	}
	configured := maps.Clone(fuels)
	maps.DeleteFunc(fuels, func(name string, _ combustion.Fuel) bool { return !burnt[name] })
	j := judge.DefaultRules(fuels)
	j.Configured = configured
	j.Gases, j.Resolutions = gases, shown
	if j.TargetOf, err = analysis.LineTargets(ctx, w); err != nil {
		return watch.Rules{}, err
	}
	r := watch.Defaults(asOf, j)
	r.IntervalMonths, r.COAttentionPPM, r.COUrgentPPM = c.Plan.IntervalMonths, c.Limits.COAttention, c.Limits.COUrgent
	r.OutProbability = c.Model.OutProbability
	for _, m := range c.Plan.ServiceMonths {
		r.ServiceMonths = append(r.ServiceMonths, time.Month(m))
	}
	r.TierWords, err = watch.TierWordsOf(c.Output.TierWords)
	if err != nil {
		return watch.Rules{}, settings.Fail(settings.Usage, "output.tier_words: %w", err)
	}
	files, err := w.Files(ctx)
	r.NotRead = notReadIn(c, files)
	return r, err
}

// notRead names the exports of which nothing was read: a unit that has no record
// may have one there.
func notReadIn(c *settings.Config, files []queries.File) string {
	var names []string
	for _, f := range inputRecords(files) {
		f.Ignored = !f.ours() && c.IsIgnored(f.Name)
		if f.Outcome == "refused" || f.Outcome == "incomplete" || f.notLookedInto() {
			names = append(names, oneLine(f.Name))
		}
	}
	return firstNames(names)
}

// estimateRules makes the rules of the estimate from those of the list, so that
// both judge alike.
func estimateRules(r watch.Rules, m *settings.Model) estimate.Rules {
	e := estimate.DefaultRules(r.AsOf, r.Judge)
	e.OutProbability, e.Workers = r.OutProbability, runtime.GOMAXPROCS(0)
	e.Planned = func(h *judge.History) int32 { return watch.PlanOf(h, r).PlannedDay }
	return m.Apply(e)
}

// carriedNames are all columns the registers carry, in order of their names.
func carriedNames(histories []*judge.History) []string {
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

// helpColumns prints what every column of every list means.
func helpColumns(w io.Writer) {
	if err := lists.WriteColumns(w); err != nil {
		fmt.Fprintln(w, err)
	}
}

// certified adds what calibrations found of analyzers.
func certified(e estimate.Rules, all []queries.Calibration) estimate.Rules {
	for _, c := range all {
		if !math.IsNaN(c.FoundError) {
			e.Certificates = append(e.Certificates, estimate.Certificate{Analyzer: c.Analyzer, Day: c.Calibrated, FoundErrorPoints: c.FoundError})
		}
	}
	return e
}
