package study

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/fleet"
	"fluedrift/analysis/watch"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
	"fluedrift/model/combustion"
	"fluedrift/model/judge"
)

const asOf = 20514 // 2026-03-02

// newStudied makes the rows of a study of a fleet's units that are kept (nil: all).
func newStudied(t *testing.T, f *worlds.DemoFleet, keep func(*judge.History) bool) *Study {
	t.Helper()
	values := f.Histories()
	var all []*judge.History
	for i := range values {
		if keep == nil || keep(&values[i]) {
			all = append(all, &values[i])
		}
	}
	s, err := Prepare(judged(t, all, studyRules(t)), studySettings())
	require.NoError(t, err)
	return s
}

// studySettings are those of the tests; the factory's run is the fleet's: 5 ft and
// one elbow.
func studySettings() Config {
	return Config{
		Bound: 0.05, Draws: 400, Seed: 1, Primary: Primary{Installation, judge.High, "ratio"},
		FactoryRunM: func(string, string) float64 { return 5*0.3048 + demo.Elbow90M },
	}
}

// judged is a fleet that was judged by the rules of its estimate.
func judged(t *testing.T, all []*judge.History, r estimate.Config) *fleet.Judged {
	t.Helper()
	j, err := fleet.Judge(t.Context(), all, fleet.Options{List: watch.DefaultConfig(r.AsOf, r.Judge), Model: r})
	require.NoError(t, err)
	return j
}

func studyRules(t *testing.T) estimate.Config {
	t.Helper()
	fuels, err := combustion.Fuels(map[string]float64{"natural gas": 11.8, "propane": 13.7}, combustion.AirO2Field)
	require.NoError(t, err)
	return estimate.DefaultConfig(asOf, judge.DefaultConfig(fuels))
}
