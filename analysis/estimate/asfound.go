package estimate

import (
	"context"
	"math"

	"fluedrift/model/drift"
)

// colAsFound is the level column of readings taken as found.
const colAsFound = "as found reads otherwise"

// AsFoundCheck tells fast drift after an adjustment from as-found readings that read low
// because the flue gas was not given time to settle. Both make as-found readings differ
// from the as-left readings before them; only as-found readings that follow as-found
// readings can tell them apart. Z of each column with the other in the fit, NaN where not
// made.
type AsFoundCheck struct {
	SettlingZ, AsFoundZ float64
	AsFoundPoints       float64 // by how much as-found readings read above as-left readings
	Used                bool    // the as-found column is in the fit
}

// Bounds on both z for as-found readings to be taken as low: never by default.
const (
	asFoundZ  = 4
	settlingZ = 2
)

// checkAsFound evaluates a fit again, at its ratios, with both columns.
func checkAsFound(ctx context.Context, fit *drift.Fit, workers int) (AsFoundCheck, error) {
	nan := math.NaN()
	out := AsFoundCheck{nan, nan, nan, false}
	if fit.Counts.Differences < drift.MinFree || fit.How == drift.Defaults {
		return out, nil
	}
	both, err := fit.Fleet().Without().Evaluate(ctx, fit.Theta, drift.EvaluateOptions{Workers: workers})
	if err != nil {
		return out, ctx.Err() // cannot be told apart: nothing to say
	}
	if c, ok := both.Coefficient(drift.Settling); ok {
		out.SettlingZ = c.Value / c.SE
	}
	if c, ok := both.Coefficient(colAsFound); ok {
		out.AsFoundZ, out.AsFoundPoints = c.Value/c.SE, c.Value
	}
	out.Used = math.Abs(out.AsFoundZ) > asFoundZ && math.Abs(out.SettlingZ) < settlingZ
	return out, nil
}
