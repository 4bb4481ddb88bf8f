package estimate

import (
	"context"
	"math"
	"strings"

	"fluedrift/model/drift"
)

// Effect is one coefficient with what it is good for. A forecast uses all of
// them; an engineer only those that are usable.
type Effect struct {
	drift.Coefficient
	Usable bool
	Why    WhyNot // nil where it is
}

// ventSE is the standard error of a vent effect, per standard deviation of the
// vent measure, from which coefficients are shown to an engineer: about 120
// units over 4 years.
const ventSE = 0.03

// effects say what each coefficient of a fit is good for.
type effects struct {
	b *builder
	f *FireFit
}

// list is one a coefficient, in their order.
func (e effects) list() (out []Effect) {
	b, f := e.b, e.f
	overall := e.withheld()
	best := math.Inf(1)
	for _, k := range f.columns.stratum.names {
		best = math.Min(best, e.ventError(k))
	}
	for _, c := range f.Beta.Coefficients {
		one := Effect{Coefficient: c, Why: overall}
		size := best
		for _, k := range f.columns.stratum.names {
			if c.Name == timeColumn(k) || c.Name == b.vents.column(k) {
				size = e.ventError(k)
			}
		}
		switch {
		case one.Why != nil:
		case c.Dropped != nil:
			one.Why = notInFit(c.Dropped)
		case size >= ventSE || math.IsNaN(size):
			one.Why = VentKnownPoorly{SE: size, NeededSE: ventSE}
		}
		if b.technicians.overall {
			nan := math.NaN()
			one.Value, one.SE, one.Low, one.High = nan, nan, nan, nan
		}
		one.Usable = one.Why == nil
		out = append(out, one)
	}
	return append(out, f.asRecorded...)
}

// withheld is why no coefficient of a fit can be used, nil where some can.
func (e effects) withheld() WhyNot {
	switch {
	case e.b.technicians.overall:
		return RecordedSelectively{}
	case e.f.Beta.How == drift.Defaults:
		return NothingMeasured{}
	case e.b.sources.tooCoarse():
		return RecordsTooCoarse{}
	}
	return nil
}

// ventError is the standard error of a class's vent effect, per standard
// deviation of the vent measure; NaN where it has none.
func (e effects) ventError(class string) float64 {
	c, ok := e.f.Beta.Coefficient(e.b.vents.column(class))
	if !ok {
		return math.NaN()
	}
	return c.SE * e.b.vents.Spread.SD
}

// fitAsRecorded fits once more with vent lengths as recorded, where an error was
// declared: both coefficients are shown.
func (e effects) fitAsRecorded(ctx context.Context) error {
	b, f := e.b, e.f
	if b.vents.Error == nil {
		return nil
	}
	plain := *b
	plain.vents.Error = nil
	series := make([]drift.Series, len(f.units))
	for k, u := range f.units {
		r := *u.record
		r.b = &plain
		of := covariates{&r, u.cols}
		series[k] = u.s
		series[k].Runs = of.runs()
	}
	in := drift.Input{
		Design: f.columns.design, Rules: b.rules.Drift, Series: series, Analyzers: len(f.Analyzers), Periods: f.periods(),
		Certificates: f.observations(),
	}
	fleet, err := drift.NewFleet(in)
	if err != nil {
		return err
	}
	fit, err := fleet.Without(colAsFound).Fit(ctx, drift.Options{Workers: b.rules.Workers, Theta: f.Beta.Theta})
	if err != nil {
		return err
	}
	for _, c := range fit.Coefficients {
		if strings.HasPrefix(c.Name, ventLengthWords) || strings.HasPrefix(c.Name, ventLossWords) {
			c.Name += ", as recorded"
			c.Unit = plain.vents.effectUnit("points a year")
			f.asRecorded = append(f.asRecorded, Effect{Coefficient: c, Why: LengthsAsRecorded{}})
		}
	}
	return nil
}
