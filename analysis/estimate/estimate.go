// Package estimate fits and predicts a whole fleet that was judged: it turns
// histories into the series of model/drift, fits high and low fire apart, and
// returns for each unit what its CO2 is expected to be, how surely, and why.
//
// The steps, in order: what the records are worth is looked at before anything is fitted:
// in which steps each source shows its values (resolution.go), which vent lengths look
// typed in (vents.go) and by which of two measures vents are compared (vent.go), who
// writes down as-found readings only where they are bad (selective.go), what the
// combustion air was where nobody wrote it down (climate.go). Then, for each fire, units
// become series (record.go, values.go, visits.go, covariates.go); the fleet says which
// columns the model has (columns.go) and which analyzers there are (analyzers.go); the
// fleet is cleaned of unconfirmed readings and fitted (fit.go, ratios.go); what the fit
// leaves open is checked (asfound.go, steps.go, instruments.go); each unit is forecast by
// month (forecast.go).
//
// What an engineer studies and a night has no time for is made by Study: spreads
// with their errors, low less high fire, the shifts at installation and where a
// vent was re-routed.
//
// A judgement takes a reading out of the fit, never a unit off the list: every
// history that comes in has a forecast that goes out, one without a fire where
// nothing was read. A fire that nobody read has no forecast.
package estimate

import (
	"context"
	"fmt"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// fires are the fits: a single fire is a full load, and goes with high fire.
var fires = [...]struct {
	name  judge.Fire
	holds []judge.Fire
}{
	{judge.High, []judge.Fire{judge.High, judge.Single}},
	{judge.Low, []judge.Fire{judge.Low}},
}

// Fit fits and forecasts a fleet. The judgements belong to the histories, one each,
// by the rules' Judge; neither is changed. The result is the same to the last bit for
// any number of workers.
func Fit(ctx context.Context, histories []*judge.History, judgements []judge.Judgement, r Config) (*Fleet, error) {
	out := &Fleet{Forecasts: make([]*analysis.Forecast, len(histories)), Judgements: judgements}
	for i := range histories {
		out.Forecasts[i] = &analysis.Forecast{}
	}
	b, err := newBuilder(histories, judgements, r)
	if err != nil {
		return nil, err
	}
	out.b, out.Climate, out.Vents, out.Sources, out.Technicians = b, b.climate, b.vents, b.sources.list, b.technicians.list
	r.begins("fitting")
	fits, err := b.fitFires(ctx)
	if err != nil {
		return nil, err
	}
	if err := shareSteps(ctx, fits); err != nil {
		return nil, err
	}
	b.plan()
	for _, fit := range fits {
		r.begins("forecasting")
		if err := b.forecast(ctx, fit, out.Forecasts); err != nil {
			return nil, fmt.Errorf("%s fire: %w", fit.Fire, err)
		}
		r.begins("checking")
		if err := b.check(ctx, fit); err != nil {
			return nil, fmt.Errorf("%s fire: %w", fit.Fire, err)
		}
		out.Fits = append(out.Fits, *fit)
	}
	out.CallOuts = callOuts(b.histories)
	out.Notes = append(notesOf(b), notDetected(out.Fits)...)
	return out, nil
}

// builder is an estimate on the way.
type builder struct {
	rules       *Config
	histories   []*judge.History
	judgements  []judge.Judgement
	doubted     []doubtedAir // of each history
	climate     Climate
	sources     sources
	vents       Vents
	technicians technicians
	hands       map[[2]string]int // number of each technician
	areas       map[string]int    // number of each area, from 1
	sites       map[string]int    // and of each site
	ranks       ranks
	planned     []day.Day // of each history: its planned day, the as-of day where that has passed
}

// newBuilder looks at what the records are worth.
func newBuilder(histories []*judge.History, judgements []judge.Judgement, r Config) (*builder, error) {
	b := &builder{
		rules: &r, histories: histories, judgements: judgements, doubted: doubtedAirs(judgements), hands: numberHands(histories),
		areas: number(histories, func(u *judge.Unit) string { return u.Area }),
		sites: number(histories, func(u *judge.Unit) string { return u.Site }),
	}
	b.climate = climateOf(histories, b.doubted, r.Climate, r.Priors.AirSpreadK)
	b.sources = readSources(&r, histories)
	b.ranks = ranks{rules: &r, units: len(histories)}
	var err error
	if b.vents, err = newVents(histories, &r); err != nil {
		return nil, err
	}
	b.technicians = newTechnicians(histories, judgements, &b.sources)
	return b, nil
}

// notesOf are what concerns the whole fleet.
func notesOf(b *builder) (notes []Note) {
	for i := range b.sources.list {
		notes = append(notes, b.sources.list[i].notes()...)
	}
	notes = append(notes, b.vents.notes()...)
	if share := callOuts(b.histories); share > manyCallOuts {
		notes = append(notes, ManyCallOuts{Share: share})
	}
	return append(notes, b.technicians.notes()...)
}

// manyCallOuts is the share of call-outs from which a reader is told.
const manyCallOuts = 0.1

// callOuts is the share of call-outs among the visits in the field that have readings.
// They stay in the fit, and nothing in it depends on them: drift effects are right with
// them.
func callOuts(histories []*judge.History) float64 {
	calls, all := 0, 0
	for _, h := range histories {
		read := make([]bool, len(h.Visits))
		for i := range h.Readings {
			if v := h.Readings[i].Visit; v >= 0 && v < len(read) {
				read[v] = true
			}
		}
		for i := range h.Visits {
			if !read[i] {
				continue
			}
			switch h.Visits[i].Reason {
			case judge.FactoryTest:
				continue
			case judge.CallOut:
				calls++
			}
			all++
		}
	}
	return float64(calls) / float64(all)
}
