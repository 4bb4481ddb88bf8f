package estimate

import (
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
	Notes     []Note // what a reader of the fit must know
	// PeriodSD is the spread of biases from calibration to calibration that made the
	// fit go by calendar year instead, points; NaN where it does not.
	PeriodSD float64
	// Trend is how fast biases move from calibration to calibration when none are let
	// age between them, points a year; NaN where nobody asked.
	Trend float64

	stored       string // how the search of a night ended whose fit is taken up
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

// wild says whether the biases by calibration period are beyond what
// instruments do.
func (f *FireFit) wild() bool {
	_, period := f.Beta.BiasSD()
	return f.Beta.How == drift.Estimated && period > wildPeriodSD
}

// Ended is how the fit of all readings ended.
func (f *FireFit) Ended() Ended {
	if f.Beta != f.Fit {
		return InTwo{First: f.Beta.Ended(), Then: f.Fit.Ended()}
	}
	return AtOnce{Fit: f.Fit.Ended()}
}

// BetaEnded is how the fit ended that the coefficients are from.
func (f *FireFit) BetaEnded() Ended {
	if f.stored != "" {
		return AsStored{Text: f.stored}
	}
	return AtOnce{Fit: f.Beta.Ended()}
}

// wildPeriods says that calibrations are not used; nothing where they are.
func (f *FireFit) wildPeriods() []Note {
	if math.IsNaN(f.PeriodSD) {
		return nil
	}
	return []Note{WildPeriods{Fire: f.Fire, SDPoints: f.PeriodSD}}
}

// CalibrationTrend says what a trend beyond the alarm means; nothing within.
func (f *FireFit) CalibrationTrend() []Note {
	if !(math.Abs(f.Trend) > Alarm) {
		return nil
	}
	return []Note{CalibrationTrend{Fire: f.Fire, Points: f.Trend}}
}
