package estimate

import (
	"context"
	"fmt"
	"math"

	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// wildPeriodSD is the spread of biases from calibration to calibration, points, from
// which the record of calibrations explains nothing: the largest honest one seen was
// 0.12.
const wildPeriodSD = 0.2

// wildPeriods says whether the biases by calibration period are beyond what
// instruments do.
func (f *FireFit) wildPeriods() bool {
	_, period := f.Beta.BiasSD()
	return f.Beta.How == drift.Estimated && period > wildPeriodSD
}

// WildWords says what was done about it.
func (f *FireFit) WildWords() string {
	return fmt.Sprintf("%s fire: analyzers seem to change by %.2f points from one calibration to the next, more than instruments do: the recorded calibrations are not used, biases go by calendar year", f.Fire, f.PeriodSD)
}

// Alarm is the trend of biases over calibrations, points a year, from which it is
// reported: analyzers that lose 0.04 to 0.13 points a year show 0.014 to 0.13, sound
// ones at most 0.005.
const Alarm = 0.01

// Trends fits each fire once more without ageing between calibrations and sets the
// trend of the biases over the days of the calibrations: what a fleet whose
// analyzers age would have to believe. It needs a search of its own, and
// probabilities do not depend on it.
func (f *Fleet) Trends(ctx context.Context) error {
	for i := range f.Fits {
		fit := &f.Fits[i]
		fit.Trend = math.NaN()
		if fit.Beta.How != drift.Estimated || !math.IsNaN(fit.PeriodSD) {
			continue
		}
		trend, err := trendOf(ctx, fit, f.b.rules)
		if err != nil {
			return fmt.Errorf("%s fire, trend of calibrations: %w", fit.Fire, err)
		}
		fit.Trend = trend
	}
	return nil
}

// trendOf is the slope of the biases over the days of calibration, each period
// weighed by its comparisons.
func trendOf(ctx context.Context, f *FireFit, rules *Rules) (float64, error) {
	why := "left out to see what calibrations would have to explain"
	bare := f.Beta.Fleet().Without(map[string]string{colAsFound: why, colSince: why, colSinceNone: why})
	o := drift.Options{Workers: rules.Workers}
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
			if p.Calibrated == judge.NoDay || w == 0 {
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

// TrendWords say what a trend beyond the alarm means; "" within.
func (f *FireFit) TrendWords() string {
	if !(math.Abs(f.Trend) > Alarm) {
		return ""
	}
	return fmt.Sprintf("%s fire: without ageing between calibrations, analyzers would have to read %.2f points %s each year: they age, or calibrations do not put them right",
		f.Fire, math.Abs(f.Trend), map[bool]string{true: "more", false: "less"}[f.Trend > 0])
}
