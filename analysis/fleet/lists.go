package fleet

import (
	"context"
	"math"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// Analyzers puts the analyzers of an estimate beside their certificates and the
// units that were set by them.
func Analyzers(r *Records, j *Judged, e *estimate.Fleet) []watch.AnalyzerLine {
	var biases []watch.AnalyzerBias
	for i := range e.Fits {
		f := &e.Fits[i]
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
	var certificates []watch.Certificate
	for _, c := range r.Calibrations {
		certificates = append(certificates, watch.Certificate{Analyzer: c.Analyzer, Day: c.Calibrated, FoundErrorPoints: c.FoundError})
	}
	return watch.Analyzers(biases, certificates, j.Histories, j.Rules.List)
}

// biasStep is a step as the list of analyzers has it, nil without one.
func biasStep(s *drift.BiasStep) *watch.BiasStep {
	if s == nil {
		return nil
	}
	const z90 = 1.6448536269514722
	return &watch.BiasStep{
		Points: s.Difference, Low: s.Difference - z90*s.SD, High: s.Difference + z90*s.SD,
		Since: day.Day(math.Round(s.From * 365.25)), After: s.After,
	}
}

// StartupGaps lists the units without a start-up on their vent run, in the order
// of the list, and how many start-ups each fire rests on.
func StartupGaps(
	ctx context.Context, r *Records, j *Judged, e *estimate.Fleet, ordered []watch.Line,
) ([]watch.StartupGap, map[judge.Fire]int, error) {
	starts, err := e.Startups(ctx)
	if err != nil {
		return nil, nil, err
	}
	vents := watch.VentOptions{
		Elbow90M: j.Rules.Model.Elbow90M, Elbow45M: j.Rules.Model.Elbow45M, FactoryRunM: r.FactoryRunM,
		Startups: watch.Startups{Units: starts.Units(), Expect: starts.Expect},
	}
	gaps, rests := watch.StartupGaps(j.Histories, ordered, j.Rules.List, vents)
	return gaps, rests, nil
}
