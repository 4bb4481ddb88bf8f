package estimate

import (
	"context"
	"fmt"
	"math"
	"slices"

	"github.com/sourcegraph/conc"

	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// fitFires fits the fires that are read, side by side where there are workers for two:
// neither sees the other, and so nothing in a fit depends on it.
func (b *builder) fitFires(ctx context.Context) (fits []*FireFit, err error) {
	all, failed := make([]*FireFit, len(fires)), make([]error, len(fires))
	one := func(i int) { all[i], failed[i] = b.fit(ctx, fires[i].name, fires[i].holds) }
	if b.rules.Workers > 1 {
		var both conc.WaitGroup
		for i := range fires {
			both.Go(func() { one(i) })
		}
		both.Wait()
	} else {
		for i := range fires {
			if one(i); failed[i] != nil {
				break
			}
		}
	}
	for i, err := range failed {
		if err != nil {
			return nil, fmt.Errorf("%s fire: %w", fires[i].name, err)
		}
	}
	return slices.DeleteFunc(all, func(f *FireFit) bool { return f == nil }), nil
}

// fit builds the series of one fire and fits them; nil where no unit has it. Where
// biases change from calibration to calibration by more than instruments can, the
// records of calibrations are no guide, and biases go by calendar year instead.
func (b *builder) fit(ctx context.Context, name judge.Fire, holds []judge.Fire) (*FireFit, error) {
	out, err := b.fitBy(ctx, name, holds, false)
	if err != nil || out == nil || !out.wild() {
		return out, err
	}
	_, wild := out.Beta.BiasSD()
	if out, err = b.fitBy(ctx, name, holds, true); err != nil {
		return nil, err
	}
	out.PeriodSD = wild
	out.Notes = append(out.Notes, out.wildPeriods()...)
	return out, nil
}

// fitBy does so with biases by calibration or by calendar year.
func (b *builder) fitBy(ctx context.Context, name judge.Fire, holds []judge.Fire, byYear bool) (*FireFit, error) {
	out := &FireFit{Fire: name, PeriodSD: math.NaN(), Trend: math.NaN()}
	of := func(x *judge.Reading) bool { return slices.Contains(holds, x.Fire) }
	tools := collectInstruments(b.histories, of, byYear)
	out.certificates = b.rules.certificates()
	for i, h := range b.histories {
		fire, target, ok := targetOf(h, holds)
		if !ok {
			continue
		}
		r := &record{b: b, h: h, uses: b.judgements[i].Uses, doubted: b.doubted[i], tools: tools, target: target, fire: fire}
		u := newUnitSeries(r, (*reader).readingsAt)
		u.fuelInDoubt, u.apart = fuelInDoubt(&b.judgements[i]), apartIn(&b.judgements[i])
		out.units = append(out.units, u)
		out.index = append(out.index, i)
	}
	if len(out.units) == 0 {
		return nil, nil
	}
	return out, b.fitSeries(ctx, out, tools)
}

// fitSeries lays out the columns for the units of a fit and fits them.
func (b *builder) fitSeries(ctx context.Context, out *FireFit, tools *instruments) error {
	out.series = make([]drift.Series, len(out.units))
	for k, u := range out.units {
		u.visits()
		out.series[k] = u.s
	}
	out.Analyzers, out.tools = tools.list, tools
	out.columns = newColumns(b, out.units)
	for k, u := range out.units {
		u.cols = out.columns
		u.fill()
		out.series[k] = u.s
	}
	impute(b, out)
	certificates := out.observations()
	in := drift.Input{
		Design: out.columns.design, Rules: b.rules.Drift, Series: out.series, Analyzers: len(tools.list), Periods: tools.count(),
		Certificates: certificates,
	}
	fleet, err := drift.NewFleet(in)
	if err != nil {
		return err
	}
	if err := b.fitBeta(ctx, out, in, fleet); err != nil {
		return err
	}
	if out.Fit == nil {
		if out.Fit, err = fleet.Fit(ctx, drift.Options{Workers: b.rules.Workers, Hold: out.Beta}); err != nil {
			return err
		}
		out.Notes = append(out.Notes, ofFit(out.Fit.Notes)...)
	}
	return nil
}

// fitBeta makes the fit the coefficients are from. Fit is left nil where it was
// made of part of the readings.
func (b *builder) fitBeta(ctx context.Context, out *FireFit, in drift.Input, whole *drift.Fleet) error {
	fleet := whole
	split := b.technicians.flagged > 0 && !b.technicians.overall && b.rules.uses(unflaggedFit)
	if split {
		in.Series = make([]drift.Series, len(out.units))
		for k, u := range out.units {
			in.Series[k] = u.unflagged()
		}
		var err error
		if fleet, err = drift.NewFleet(in); err != nil {
			return err
		}
	}
	fit, err := fleet.Without(colAsFound).Fit(ctx, b.rules.method(out.Fire))
	if err != nil {
		return err
	}
	if out.AsFound, err = checkAsFound(ctx, fit, b.rules.Workers); err != nil {
		return err
	}
	if out.AsFound.Used = out.AsFound.Used && b.rules.uses(asFoundColumn); out.AsFound.Used {
		m := b.rules.method(out.Fire)
		if fit, err = fleet.Fit(ctx, m); err != nil {
			return err
		}
	}
	tidy(fit)
	if out.Notes = ofFit(fit.Notes); !math.IsNaN(out.AsFound.AsFoundZ) {
		out.Notes = append(out.Notes, AsFoundsChecked{AsFoundCheck: out.AsFound})
	}
	if out.Beta = fit; !split {
		out.Fit = fit
	}
	return nil
}

// tidy drops the coefficient of the column that was only kept for a check.
func tidy(fit *drift.Fit) {
	fit.Coefficients = slices.DeleteFunc(fit.Coefficients, func(c drift.Coefficient) bool { return c.Name == colAsFound && c.Dropped != nil })
}

// fuelInDoubt says whether the newest values of a unit fit another fuel. Such a unit has
// no probability: nobody knows its target.
func fuelInDoubt(j *judge.Judgement) bool {
	return slices.ContainsFunc(j.Findings, func(f judge.Finding) bool { return f.Kind == judge.FuelLabel && f.Open })
}

// check looks at what a fit leaves open: steps of the level, analyzers.
func (b *builder) check(ctx context.Context, f *FireFit) error {
	if b.rules.Brief {
		return nil
	}
	if err := scanSteps(ctx, f, b.rules.Workers); err != nil {
		return err
	}
	if err := (instrumentCheck{f}).rate(ctx, b.rules.Workers); err != nil {
		return err
	}
	of := effects{b, f}
	if err := of.fitAsRecorded(ctx); err != nil {
		return err
	}
	f.Effects = of.list()
	return nil
}
