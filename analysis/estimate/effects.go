package estimate

import (
	"context"
	"fmt"
	"math"
	"strings"

	"fluedrift/model/drift"
)

// Effect is one coefficient with what it is good for. A forecast uses all of
// them; an engineer only those that are usable.
type Effect struct {
	drift.Coefficient
	Usable bool
	Why    string // why not
}

// ventSE is the standard error of a vent effect, per standard deviation of the
// vent measure, from which coefficients are shown to an engineer: about 120
// units over 4 years.
const ventSE = 0.03

// effects says what each coefficient of a fit is good for.
func (b *builder) effects(f *FireFit) (out []Effect) {
	overall := b.withheld(f)
	best := math.Inf(1)
	for _, k := range f.columns.stratum.names {
		best = math.Min(best, b.ventError(f, k))
	}
	for _, c := range f.Beta.Coefficients {
		e := Effect{Coefficient: c, Why: overall}
		size := best
		for _, k := range f.columns.stratum.names {
			if c.Name == timeColumn(k) || c.Name == b.vents.column(k) {
				size = b.ventError(f, k)
			}
		}
		switch {
		case e.Why != "":
		case c.Dropped != "":
			e.Why = c.Dropped
		case size >= ventSE || math.IsNaN(size):
			e.Why = fmt.Sprintf("the vent effect is known to %.2f per standard deviation of the vents: %.2f is needed", size, ventSE)
		}
		if overall == selectiveWords {
			nan := math.NaN()
			e.Value, e.SE, e.Low, e.High = nan, nan, nan, nan
		}
		e.Usable = e.Why == ""
		out = append(out, e)
	}
	return append(out, f.asRecorded...)
}

// withheld is why no coefficient of a fit can be used, "" where some can.
func (b *builder) withheld(f *FireFit) string {
	switch {
	case b.technicians.overall:
		return selectiveWords
	case f.Beta.How == drift.Defaults:
		return "defaults, not measured"
	case b.tooCoarse():
		return "records in steps of half a point: not usable"
	}
	return ""
}

// ventError is the standard error of a class's vent effect, per standard
// deviation of the vent measure; NaN where it has none.
func (b *builder) ventError(f *FireFit, class string) float64 {
	c, ok := f.Beta.Coefficient(b.vents.column(class))
	if !ok {
		return math.NaN()
	}
	return c.SE * b.vents.Spread.SD
}

// fitAsRecorded fits once more with vent lengths as recorded, where an error was
// declared: both coefficients are shown.
func (b *builder) fitAsRecorded(ctx context.Context, f *FireFit) error {
	if b.vents.Error == nil {
		return nil
	}
	plain := *b
	plain.vents.Error = nil
	series := make([]drift.Series, len(f.units))
	for k, u := range f.units {
		one := *u
		one.b = &plain
		series[k] = u.s
		series[k].Runs = one.runs()
	}
	in := drift.Input{
		Design: f.columns.design, Rules: b.rules.Drift, Series: series, Analyzers: len(f.Analyzers), Periods: f.periods(),
		Certificates: f.observations(),
	}
	fleet, err := drift.NewFleet(in)
	if err != nil {
		return err
	}
	fit, err := fleet.Without(map[string]string{colAsFound: "kept out"}).Fit(ctx, drift.Method{Workers: b.rules.Workers, Theta: f.Beta.Theta})
	if err != nil {
		return err
	}
	for _, c := range fit.Coefficients {
		if strings.HasPrefix(c.Name, ventLengthWords) || strings.HasPrefix(c.Name, ventLossWords) {
			c.Name += ", as recorded"
			c.Unit = plain.vents.effectUnit("points a year")
			f.asRecorded = append(f.asRecorded, Effect{Coefficient: c, Why: "an error of the records was declared"})
		}
	}
	return nil
}

// periods counts the columns of biases by calibration period.
func (f *FireFit) periods() int {
	n := 0
	for _, a := range f.Analyzers {
		n += len(a.Periods)
	}
	return n
}
