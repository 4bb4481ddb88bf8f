package hindsight

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// An origin is estimated for its forecasts alone: of a fleet whose gas moved by
// half a point a full estimate suspects the step and draws places; that of the
// look back does neither, and forecasts the same probabilities and days of leaving
// to the last bit. That half a point is found is held by analysis/estimate.
func TestAnOriginIsForecastAlone(t *testing.T) {
	w := demo.Plain()
	w.LevelSteps = []demo.LevelStep{{Area: "*", Day: asOf - 900, CO2Points: 0.5}}
	_, origins := lookedBack(t, 1, 300, w, []day.Day{asOf - 548}, func(e *estimate.Config) { e.Draws = 20 })
	o := origins[0]
	clipped := make([]*judge.History, len(o.known))
	all := make([]int, len(o.known))
	for i, h := range o.known {
		clipped[i], all[i] = clip(h, o.Day, o.rules.List.Judge.TargetOf), i
	}
	full := estimated(t, clipped, o.rules)
	require.NotNil(t, full.Ranks(all))
	require.Nil(t, o.Fleet.Ranks(all), "places are drawn")
	require.Len(t, o.Fleet.Fits, len(full.Fits))
	suspected, leaving := 0, 0
	for k := range full.Fits {
		suspected += len(full.Fits[k].Steps)
		require.Empty(t, o.Fleet.Fits[k].Steps, "steps are scanned for")
	}
	require.Positive(t, suspected)
	for i := range full.Forecasts {
		require.Len(t, o.Fleet.Forecasts[i].Fires, len(full.Forecasts[i].Fires))
		for k := range full.Forecasts[i].Fires {
			want, got := &full.Forecasts[i].Fires[k], &o.Fleet.Forecasts[i].Fires[k]
			require.Empty(t, got.Path, "a path is forecast")
			for _, of := range []func(*analysis.FireForecast) analysis.Probability{
				func(f *analysis.FireForecast) analysis.Probability { return f.Today },
				func(f *analysis.FireForecast) analysis.Probability { return f.Planned },
				func(f *analysis.FireForecast) analysis.Probability { return f.Worst },
			} {
				require.Equal(t, of(want), of(got))
			}
			from, to := o.Fleet.Leaving(i, want.Fire)
			require.Equal(t, [2]day.Day{want.FirstOutsideFrom, want.FirstOutsideTo}, [2]day.Day{from, to})
			if from != day.None {
				leaving++
			}
		}
	}
	require.Positive(t, leaving)
}
