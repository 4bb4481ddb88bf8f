package estimate

import (
	"fmt"
	"math"

	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// FireFit is the fit of one fire: high (units with one fire among them) or low.
type FireFit struct {
	Fire judge.Fire
	// Fit is of all readings: biases and the states of units.
	Fit *drift.Fit
	// Beta is the fit the coefficients and ratios are from: Fit itself, unless some as-found
	// readings were recorded selectively and must not decide them.
	Beta      *drift.Fit
	Analyzers []Analyzer
	Effects   []Effect // the coefficients, with what they are good for
	Steps     []StepSuspected
	AsFound   AsFoundCheck
	// PeriodSD is the spread of biases from calibration to calibration that made the
	// fit go by calendar year instead, points; NaN where it does not.
	PeriodSD float64
	// Trend is how fast biases move from calibration to calibration when none are let
	// age between them, points a year; NaN where nobody asked.
	Trend float64

	tools        *instruments
	certificates []Certificate
	observed     []observed // by certificates, in the order of drift.Input
	columns      *columns
	asRecorded   []Effect
	current      []int         // readings that states of today are computed from, by analyzer
	units        []*unitSeries // one a series
	index        []int         // the history of each
	series       []drift.Series
}

// periods counts the columns of biases by calibration period.
func (f *FireFit) periods() int {
	n := 0
	for _, a := range f.Analyzers {
		n += len(a.Periods)
	}
	return n
}

// observations turns certificates into observations of the ends of the periods that
// these calibrations ended: the constant bias, that of the period, and the ageing
// over its length. A period that follows no calibration on record has no length,
// and one after which an analyzer was calibrated without a certificate did not end
// with a later one.
func (f *FireFit) observations() (out []drift.Certificate) {
	f.observed = nil
	for a := range f.Analyzers {
		x := &f.Analyzers[a]
		for k := range x.Periods {
			c, ok := x.ended(&x.Periods[k], f.certificates)
			if !ok {
				continue
			}
			level := make([]float64, len(f.columns.design.Level))
			level[f.columns.level[colSince]] = years(c.Day) - years(x.Periods[k].Calibrated)
			out = append(out, drift.Certificate{Analyzer: a, Period: x.Periods[k].Column, Level: level, Y: c.FoundErrorPoints, SD: c.SDPoints})
			f.observed = append(f.observed, observed{a, k, c.FoundErrorPoints})
		}
	}
	return out
}

// inseparable says whether the ageing of analyzers is not in the fit though there are
// calibrations it could be told from.
func (f *FireFit) inseparable() bool { return f.Fit.Widened(colSince) }

// wildPeriods says whether the biases by calibration period are beyond what
// instruments do.
func (f *FireFit) wildPeriods() bool {
	_, period := f.Beta.BiasSD()
	return f.Beta.How == drift.Estimated && period > wildPeriodSD
}

// WildWords says what was done about it.
func (f *FireFit) WildWords() string {
	return fmt.Sprintf("%s fire: analyzers seem to change by %.2f points from one calibration to the next, more than instruments "+
		"do: the recorded calibrations are not used, biases go by calendar year", f.Fire, f.PeriodSD)
}

// TrendWords say what a trend beyond the alarm means; "" within.
func (f *FireFit) TrendWords() string {
	if !(math.Abs(f.Trend) > Alarm) {
		return ""
	}
	return fmt.Sprintf("%s fire: without ageing between calibrations, analyzers would have to read %.2f points %s each year: "+
		"they age, or calibrations do not put them right",
		f.Fire, math.Abs(f.Trend), map[bool]string{true: "more", false: "less"}[f.Trend > 0])
}
