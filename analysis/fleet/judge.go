package fleet

import (
	"context"
	"math"

	"github.com/sourcegraph/conc/iter"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/watch"
	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Config is what the user sets: limits and habits of the list, figures of the
// model. What the records decide (the as-of day, how readings are judged, planned
// days, certificates) is filled in by Rules.
type Config struct {
	Gases map[string]combustion.Gas  // compositions by name
	Fuels map[string]combustion.Fuel // all that are declared, by name
	List  watch.Config
	Model estimate.Config
}

// Options are what a fleet is judged, estimated and listed by.
type Options struct {
	List  watch.Config
	Model estimate.Config
}

// Options makes the configuration that these records ask for. List and model judge alike.
func (r *Records) Options(c Config) Options {
	j := judge.DefaultConfig(r.fuels(c.Fuels))
	j.Configured, j.Gases = c.Fuels, c.Gases
	j.Resolutions, j.TargetOf = r.resolutions, r.targetOf
	j.Pairs = r.pairFits(&j)
	list, model := c.List, c.Model
	list.AsOf, list.Judge = r.AsOf, j
	model.AsOf, model.Judge = r.AsOf, j
	model.Planned = func(h *judge.History) day.Day { return watch.PlanOf(h, list).PlannedDay }
	for _, c := range r.Calibrations {
		if !math.IsNaN(c.FoundError) {
			one := estimate.Certificate{Analyzer: c.Analyzer, Day: c.Calibrated, FoundErrorPoints: c.FoundError}
			model.Certificates = append(model.Certificates, one)
		}
	}
	return Options{list, model}
}

// Judged is a fleet with what each of its readings is good for.
type Judged struct {
	Histories  []*judge.History
	Judgements []judge.Judgement // of each history
	Rules      Options
}

// Judge judges every history, once for all that follows. Rules that say nothing
// of pairs of gases go by those of the histories. The histories are not changed.
func Judge(ctx context.Context, histories []*judge.History, r Options) (*Judged, error) {
	if r.List.Judge.Pairs == nil {
		r.List.Judge.Pairs = judge.PairsIn(histories, &r.List.Judge)
		r.Model.Judge.Pairs = r.List.Judge.Pairs
	}
	j := &Judged{Histories: histories, Judgements: make([]judge.Judgement, len(histories)), Rules: r}
	each := iter.Iterator[judge.Judgement]{MaxGoroutines: r.Model.Workers}
	each.ForEachIdx(j.Judgements, func(i int, out *judge.Judgement) {
		if ctx.Err() == nil {
			*out = judge.Judge(histories[i], r.List.Judge)
		}
	})
	return j, ctx.Err()
}
