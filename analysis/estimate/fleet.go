package estimate

import (
	"context"
	"fmt"
	"math"
	"sync"

	"fluedrift/analysis"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// Fleet is the estimate of a whole fleet. Forecasts[i] belongs to the i-th
// history.
type Fleet struct {
	Judgements  []judge.Judgement
	Forecasts   []*analysis.Forecast
	Fits        []FireFit
	Climate     Climate
	Sources     []Source     // how finely each source shows its values
	Vents       Vents        // which vent lengths count, and how
	Technicians []Technician // who records as-found readings how
	CallOuts    float64      // share of the visits in the field; NaN without one
	Notes       []Note       // what a reader of the figures must know

	b       *builder
	indexed sync.Once
	fitsOf  [][]position // where each history stands
	shifted bool         // night holds the shifts
	night   []ShiftFit
	stored  []queries.Shift // of all units, by the night a Restore takes up
}

// Ratios returns the ratios each fire ended with, for the next night to start
// from; fires whose ratios were not estimated are left out.
func (f *Fleet) Ratios() map[judge.Fire]drift.Theta {
	out := map[judge.Fire]drift.Theta{}
	for i := range f.Fits {
		if fit := f.Fits[i].Beta; fit.How == drift.Estimated {
			out[f.Fits[i].Fire] = fit.Theta
		}
	}
	return out
}

// Ranks puts some units in order once a draw and takes each unit's
// quantiles: rank[k] is that of the history units[k]. It holds a number a unit and
// draw; nil where no draws were asked for.
func (f *Fleet) Ranks(units []int) []Rank {
	if f.b == nil || f.b.ranks.keys == nil {
		return nil
	}
	return f.b.ranks.among(units)
}

// InstrumentNotes are what a reader of the list must know of instruments, before any
// unit: that they cannot be told from units, that one stands far off what read its
// units before, that they age or calibrations do not put them right.
func (f *Fleet) InstrumentNotes() (notes []Note) {
	for i := range f.Fits {
		fit := &f.Fits[i]
		notes = append(notes, fit.wildPeriods()...)
		if fit.inseparable() {
			notes = append(notes, AgeingHeld{Fire: fit.Fire, SDPoints: f.b.rules.Priors.AgeingSD})
		}
		notes = append(notes, f.steps(fit)...)
		notes = append(notes, fit.CalibrationTrend()...)
	}
	return notes
}

// steps are the instruments that stand far off, and how many units wait for another to
// read them.
func (f *Fleet) steps(fit *FireFit) (notes []Note) {
	for _, s := range fit.Fit.Steps {
		name, open := fit.Analyzers[s.Analyzer].Name, 0
		for i := range f.Forecasts {
			for k := range f.Forecasts[i].Fires {
				x := &f.Forecasts[i].Fires[k]
				sameFit := x.Fire == fit.Fire || fit.Fire != fires[1].name && x.Fire != fires[1].name
				if sameFit && x.Open() && x.Suspect.Analyzer == name {
					open++
				}
			}
		}
		notes = append(notes, AnalyzerStep{
			Fire: fit.Fire, Analyzer: name, DifferencePoints: s.Difference, After: s.After, Since: dayAt(s.From), Links: s.Links, Open: open,
		})
	}
	return notes
}

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

// Study makes the long diagnostics of an estimate.
func (f *Fleet) Study(ctx context.Context) (*Study, error) {
	out := &Study{Variances: map[judge.Fire][]drift.Variance{}}
	for i := range f.Fits {
		fit := &f.Fits[i]
		if fit.Beta.How == drift.Estimated {
			v, err := fit.Beta.Variances(ctx, f.b.rules.Workers)
			if err != nil {
				return nil, fmt.Errorf("%s fire: %w", fit.Fire, err)
			}
			out.Variances[fit.Fire] = v
		}
	}
	var err error
	if out.Stored = f.stored; len(out.Stored) == 0 {
		if out.Shifts, err = f.shifts(ctx, 0); err != nil {
			return nil, err
		}
	}
	if out.Offset, err = fitOffset(ctx, f.b); err != nil {
		return nil, fmt.Errorf("%s: %w", LowLessHigh, err)
	}
	return out, nil
}

// Startups fits the shifts as a night does, where Save has not done so.
func (f *Fleet) Startups(ctx context.Context) (*Startups, error) {
	shifts, err := f.nightShifts(ctx)
	if err != nil {
		return nil, err
	}
	s := &Startups{fits: map[judge.Fire]*ShiftFit{}, of: map[judge.Fire]map[*judge.History]*unitSeries{}}
	for i := range shifts {
		if shifts[i].Name == eventInstalled {
			s.fits[shifts[i].Fire] = &shifts[i]
		}
	}
	for i := range f.Fits {
		units := map[*judge.History]*unitSeries{}
		for _, u := range f.Fits[i].units {
			units[u.h] = u
		}
		s.of[f.Fits[i].Fire] = units
	}
	return s, nil
}

// nightShifts are the shifts a night fits, once for all that ask.
func (f *Fleet) nightShifts(ctx context.Context) (_ []ShiftFit, err error) {
	if !f.shifted {
		f.night, err = f.shifts(ctx, shiftUnits)
		f.shifted = err == nil
	}
	return f.night, err
}

// shifts fits the shifts of every fire, each to so many units at most; 0: to all.
func (f *Fleet) shifts(ctx context.Context, most int) (out []ShiftFit, err error) {
	for i := range f.Fits {
		of, err := shifts{f.b, &f.Fits[i]}.fit(ctx, most)
		if err != nil {
			return nil, fmt.Errorf("%s fire: %w", f.Fits[i].Fire, err)
		}
		out = append(out, of...)
	}
	return out, nil
}
