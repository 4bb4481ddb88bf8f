package fleet

import (
	"context"
	"math"

	"fluedrift/analysis/estimate"
	"fluedrift/queries"
)

// Estimate fits a fleet and forecasts every unit of it.
func Estimate(ctx context.Context, j *Judged) (*estimate.Fleet, error) {
	return estimate.Fit(ctx, j.Histories, j.Judgements, j.Rules.Model)
}

// Restore fits a fleet at the ratios that a night stored, without a search and
// without a forecast.
func Restore(ctx context.Context, j *Judged, night estimate.Stored) (*estimate.Fleet, error) {
	return estimate.Restore(ctx, j.Histories, j.Judgements, j.Rules.Model, night)
}

// everyUnit is the slice of the whole fleet.
var everyUnit = queries.Slice{Until: math.MaxInt32}

// StoredFits reads what the night that made a warehouse left of its fits.
func StoredFits(ctx context.Context, w *queries.Warehouse) (night estimate.Stored, err error) {
	if night.Fits, err = w.Fits(ctx); err != nil {
		return night, err
	}
	if night.Shifts, err = w.Shifts(ctx); err != nil {
		return night, err
	}
	if night.Unconfirmed, err = w.Unconfirmed(ctx, everyUnit); err != nil {
		return night, err
	}
	night.Steps, err = w.LevelSteps(ctx)
	return night, err
}
