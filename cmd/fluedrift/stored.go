package main

import (
	"context"

	"fluedrift/analysis/fleet"
	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/queries"
)

// storedLines makes the lines of a fleet, or of its one unit of the serial, from
// what a night stored: its forecasts in the warehouse, and in its publication what
// it took from the whole fleet. The rules that are returned hold that too.
func storedLines(ctx context.Context, c *call, cfg *settings.Config, w *queries.Warehouse, serial string) (*fleet.Judged,
	[]watch.Line, error,
) {
	_, judged, err := night.JudgeFleet(ctx, cfg, w, serial)
	if err != nil {
		return nil, nil, err
	}
	forecasts, err := fleet.Forecasts(ctx, w, judged.Histories)
	if err != nil {
		return nil, nil, err
	}
	rules := &judged.Rules.List
	if tools, _, err := published(c, cfg, settings.DayText(w.AsOf()), "analyzers"); err == nil {
		rules.SuspectAnalyzers = lists.SuspectsIn(tools)
	}
	night.TakeFleet(cfg, w.AsOf(), rules)
	return judged, fleet.Assess(judged, forecasts), nil
}
