package estimate

import (
	"context"
	"math"

	"fluedrift/model/day"
	"fluedrift/model/drift"
)

// wildPeriodSD is the spread of biases from calibration to calibration, points, from
// which the record of calibrations explains nothing: the largest honest one seen was
// 0.12.
const wildPeriodSD = 0.2

// Alarm is the trend of biases over calibrations, points a year, from which it is
// reported: analyzers that lose 0.04 to 0.13 points a year show 0.014 to 0.13, sound
// ones at most 0.005.
const Alarm = 0.01

// trendOf is the slope of the biases over the days of calibration, each period
// weighed by its comparisons.
func trendOf(ctx context.Context, f *FireFit, rules *Config) (float64, error) {
	bare := f.Beta.Fleet().Without(colAsFound, colSince, colSinceNone) // what would calibrations have to explain?
	o := drift.EvaluateOptions{Workers: rules.Workers}
	search := drift.Search{Sample: rules.SampleUnits, Seed: rules.Seed, Coarse: coarseUnits}
	end, err := search.Ratios(ctx, bare, f.Beta.Theta, o)
	if err != nil {
		return math.NaN(), err
	}
	fit, err := bare.Evaluate(ctx, end.Theta, o)
	if err != nil {
		return math.NaN(), ctx.Err()
	}
	var n, x, y, xx, xy float64
	for a := range f.Analyzers {
		for _, p := range f.Analyzers[a].Periods {
			w := float64(fit.Periods[p.Column].Cross)
			if p.Calibrated == day.None || w == 0 {
				continue
			}
			value, _ := fit.ReadsOn(a, p.Column, nil)
			at := years(p.Calibrated)
			n, x, y, xx, xy = n+w, x+w*at, y+w*value, xx+w*at*at, xy+w*at*value
		}
	}
	spread := xx - x*x/n
	if !(n > 0) || !(spread > n) { // a standard deviation of a year
		return math.NaN(), nil
	}
	return (xy - x*y/n) / spread, nil
}
