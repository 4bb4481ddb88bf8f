package main

import (
	"context"
	"math"
	"os"
	"path/filepath"
	"slices"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// analyzerLines puts the analyzers of an estimate beside their certificates and
// the units set by them.
func (n *night) analyzerLines(ctx context.Context, fleet *estimate.Fleet, histories []*judge.History, rules watch.Rules) ([]watch.AnalyzerLine, error) {
	var biases []watch.AnalyzerBias
	for i := range fleet.Fits {
		f := &fleet.Fits[i]
		for _, tool := range f.Analyzers {
			for _, p := range tool.Periods {
				b := watch.AnalyzerBias{Fire: f.Fire, Name: tool.Name, StandIn: tool.Standin, Calibrated: p.Calibrated, Year: p.Year}
				period := f.Fit.Periods[p.Column]
				b.Reads, b.Known, b.Certified, b.Links, b.Units = p.Reads, p.Known, period.Certified > 0, period.Cross, period.Units
				step, against := f.StepAt(p.Column)
				b.Step, b.StepOf = biasStep(step), against
				biases = append(biases, b)
			}
		}
	}
	calibrations, err := n.warehouse.Calibrations(ctx)
	if err != nil {
		return nil, err
	}
	var certificates []watch.Certificate
	for _, c := range calibrations {
		certificates = append(certificates, watch.Certificate{Analyzer: c.Analyzer, Day: c.Calibrated, FoundErrorPoints: c.FoundError})
	}
	return watch.Analyzers(biases, certificates, histories, rules), nil
}

// biasStep is a step as the list of analyzers has it, nil without one.
func biasStep(s *drift.BiasStep) *watch.BiasStep {
	if s == nil {
		return nil
	}
	const z90 = 1.6448536269514722
	return &watch.BiasStep{Points: s.Difference, Low: s.Difference - z90*s.SD, High: s.Difference + z90*s.SD,
		Since: int32(math.Round(s.From * 365.25)), After: s.After}
}

// gaps lists the units without a start-up on their vent run.
func (n *night) gaps(ctx context.Context, histories []*judge.History, ordered []watch.Line, rules watch.Rules, e estimate.Rules, fleet *estimate.Fleet) (table.Table, error) {
	factory, err := factoryRuns(ctx, n.warehouse)
	if err != nil {
		return table.Table{}, err
	}
	starts, err := fleet.Startups(ctx)
	if err != nil {
		return table.Table{}, err
	}
	vents := watch.VentRules{Elbow90M: e.Elbow90M, Elbow45M: e.Elbow45M, FactoryRunM: factory, Startups: watch.Startups{Units: starts.Units(), Expect: starts.Expect}}
	gaps, rests := watch.StartupGaps(histories, ordered, rules, vents)
	return lists.StartupGaps(gaps, rests, n.asOf), nil
}

// earlier are the lines of the publication before, and its day: judge.NoDay where
// there is none.
func (n *night) earlier() ([]watch.Earlier, int32, error) {
	if n.before == nil {
		return nil, judge.NoDay, nil
	}
	day, err := settings.DayOf(n.before.AsOf)
	if err != nil {
		return nil, judge.NoDay, err
	}
	list, err := readList(filepath.Join(n.lists, n.before.AsOf), "watchlist")
	if err != nil {
		return nil, judge.NoDay, err
	}
	return lists.EarlierLines(list), day, nil
}

// changed compares the lines, removed ones included, with the publication
// before.
func (n *night) changed(ordered, all []watch.Line, earlier []watch.Earlier, day int32) table.Table {
	if n.before == nil {
		return lists.Changed(nil, n.asOf, judge.NoDay)
	}
	lines := slices.Clone(ordered)
	for _, l := range all {
		if l.Removed {
			lines = append(lines, l)
		}
	}
	return lists.Changed(watch.Changes(lines, earlier, day), n.asOf, day)
}

// readList reads one list of a publication's folder.
func readList(folder, name string) (table.Table, error) {
	f, err := os.Open(filepath.Join(folder, name+".json"))
	if err != nil {
		return table.Table{}, err
	}
	defer f.Close()
	return lists.Read(f)
}

// rankDraws is how many joint draws the intervals of ranks are made of: their
// ends are then good to a place or two in a hundred.
const rankDraws = 500

// ranges notes the places that a line could have for all the estimate knows.
func ranges(ordered []watch.Line, histories []*judge.History, fleet *estimate.Fleet) {
	byKey := make(map[int32]int, len(histories))
	for i, h := range histories {
		byKey[h.Unit.Key] = i
	}
	at := watch.ByForecast(ordered)
	units := make([]int, len(at))
	for k, i := range at {
		units[k] = byKey[ordered[i].Unit.Key]
	}
	standings := make([]watch.Standing, len(at))
	for k, r := range fleet.RanksAmong(units) {
		if r.Low > 0 {
			standings[k] = watch.Standing{From: r.Low, To: r.High, Ahead: r.Ahead}
		}
	}
	watch.Range(ordered, at, standings)
}

// ranked asks an estimate for ranks too.
func ranked(e estimate.Rules) estimate.Rules {
	e.Draws = rankDraws
	return e
}

// grouping is what recording habits are counted by.
func groupingOf(c *settings.Config) watch.Grouping {
	if c.Output.HabitsByTechnician {
		return watch.ByTechnician
	}
	return watch.BySource
}
