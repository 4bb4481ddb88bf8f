// Package estimate judges, fits and predicts a whole fleet: it turns histories
// into the series of model/drift, fits high and low fire apart, and returns for
// each unit what its CO2 is expected to be, how surely, and why.
//
// The steps, in order: every history is judged (model/judge); the fleet says
// which columns the model has (columns.go: burner controls, fuels, vents, age)
// and which analyzers there are (analyzers.go); what the combustion air was
// where nobody wrote it down is taken from the climate (climate.go); each unit
// becomes one series a fire (series.go); the fleet is cleaned of unconfirmed
// readings and fitted; each unit is forecast by month (forecast.go).
//
// A judgement takes a reading out of the fit, never a unit off the list: every
// history that comes in has a forecast that goes out, if only one that says
// "no history".
package estimate

import (
	"context"
	"fmt"

	"fluedrift/analysis"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// Rules are the figures an estimate is made with.
type Rules struct {
	AsOf           int32
	Judge          judge.Rules
	Drift          drift.Rules
	OutProbability float64 // from which a unit counts as outside its band
	Elbow90M       float64 // straight metres a 90 degree elbow stands for
	Elbow45M       float64 // and one of 45 degrees
	Climate        *Climate
	Workers        int
	// Planned gives the day a unit's next full test is planned for.
	Planned func(*judge.History) int32
}

// DefaultRules returns the figures in use: elbows as 1.5 m and 0.75 m of straight
// run (common practice, no source: the appliance's instructions decide), one
// half as the probability of being outside.
func DefaultRules(asOf int32, j judge.Rules) Rules {
	return Rules{AsOf: asOf, Judge: j, Drift: drift.DefaultRules(), OutProbability: 0.5, Elbow90M: 1.5, Elbow45M: 0.75, Workers: 1,
		Planned: func(*judge.History) int32 { return judge.NoDay }}
}

// Fleet is the estimate of a whole fleet. Forecasts[i] belongs to the i-th
// history.
type Fleet struct {
	Judgements []judge.Judgement
	Forecasts  []*analysis.Forecast
	Fits       []FireFit
	Climate    Climate
	Notes      []string // what a reader of the figures must know
}

// FireFit is the fit of one fire: high (units with one fire among them) or low.
type FireFit struct {
	Fire      string
	Fit       *drift.Fit
	Analyzers []Analyzer

	columns *columns
	units   []*unitSeries // one a series
	index   []int         // the history of each
	series  []drift.Series
}

// fires are the fits: a single fire is a full load, and goes with high fire.
var fires = [...]struct {
	name  string
	holds []string
}{
	{judge.High, []string{judge.High, judge.Single}},
	{judge.Low, []string{judge.Low}},
}

// Run estimates a fleet. The histories are not changed. The result is the same
// to the last bit for any number of workers.
func Run(ctx context.Context, histories []*judge.History, r Rules) (*Fleet, error) {
	out := &Fleet{Forecasts: make([]*analysis.Forecast, len(histories)), Judgements: make([]judge.Judgement, len(histories))}
	for i, h := range histories {
		out.Judgements[i] = judge.Judge(h, r.Judge)
		out.Forecasts[i] = &analysis.Forecast{}
	}
	b := &builder{rules: &r, histories: histories, judgements: out.Judgements}
	b.climate = climateOf(histories, r.Climate)
	out.Climate = b.climate
	for _, fire := range fires {
		fit, err := b.fit(ctx, fire.name, fire.holds)
		if err != nil {
			return nil, fmt.Errorf("%s fire: %w", fire.name, err)
		}
		if fit == nil {
			continue
		}
		if err := b.forecast(ctx, fit, out.Forecasts); err != nil {
			return nil, fmt.Errorf("%s fire: %w", fire.name, err)
		}
		out.Fits = append(out.Fits, *fit)
	}
	return out, nil
}

// builder is an estimate on the way.
type builder struct {
	rules      *Rules
	histories  []*judge.History
	judgements []judge.Judgement
	climate    Climate
}

// years turns a day into the model's time.
func years(day int32) float64 { return float64(day) / 365.25 }
