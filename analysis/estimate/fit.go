package estimate

import (
	"context"
	"slices"

	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// fit builds the series of one fire and fits them; nil where no unit has it.
func (b *builder) fit(ctx context.Context, name string, holds []string) (*FireFit, error) {
	of := func(x *judge.Reading) bool { return slices.Contains(holds, x.Fire) }
	cols := b.makeColumns(of)
	tools := collectInstruments(b.histories, of)
	out := &FireFit{Fire: name, Analyzers: tools.list, columns: cols}
	for i, h := range b.histories {
		fire, target, ok := b.targetOf(h, holds)
		if !ok {
			continue
		}
		u := &unitSeries{b: b, h: h, uses: b.judgements[i].Uses, cols: cols, tools: tools, holds: holds, target: target, fire: fire, fuelInDoubt: fuelInDoubt(&b.judgements[i])}
		out.units = append(out.units, u)
		out.index = append(out.index, i)
		out.series = append(out.series, u.series())
	}
	if len(out.units) == 0 {
		return nil, nil
	}
	periods := 0
	for _, a := range tools.list {
		periods += len(a.Periods)
	}
	fleet, err := drift.NewFleet(drift.Input{Design: cols.design, Rules: b.rules.Drift, Series: out.series, Analyzers: len(tools.list), Periods: periods})
	if err != nil {
		return nil, err
	}
	out.Fit, err = fleet.Fit(ctx, drift.Method{Workers: b.rules.Workers})
	return out, err
}

// fuelInDoubt says whether the newest values of a unit fit another fuel.
func fuelInDoubt(j *judge.Judgement) bool {
	return slices.ContainsFunc(j.Findings, func(f judge.Finding) bool { return f.Kind == judge.FuelLabel && f.Open })
}
