package night

import (
	"context"

	"fluedrift/analysis"
	"fluedrift/analysis/fleet"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/queries"
)

// Outlook is what a list made from a warehouse could and could not judge.
type Outlook struct {
	Summary watch.Summary // groups without a forecast: they are not those of a list
	Habits  []watch.Habit // by source
}

// OutlookOf judges the records of a warehouse as a night does, and estimates nothing:
// it costs a moment, not a fit.
func OutlookOf(ctx context.Context, cfg *settings.Config, w *queries.Warehouse) (Outlook, error) {
	records, err := fleet.Load(ctx, w, "")
	if err != nil {
		return Outlook{}, err
	}
	set, err := fleetConfig(ctx, cfg, w)
	if err != nil {
		return Outlook{}, err
	}
	judged, err := fleet.Judge(ctx, records.Histories, records.Options(set))
	if err != nil {
		return Outlook{}, err
	}
	rules := judged.Rules.List
	s := watch.Summarize(fleet.Assess(judged, make([]*analysis.Forecast, len(judged.Histories))), rules)
	s.Missing = watch.Missing(judged.Histories, rules.AsOf)
	return Outlook{s, watch.Habits(judged.Histories, judged.Judgements, watch.BySource, rules.AsOf)}, nil
}
