package study

import (
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/fleet"
	"fluedrift/model/combustion"
	"fluedrift/model/judge"
)

const asOf = 20514 // 2026-03-02

// Invented fleets with tests at the factory: over 16 fixed seeds the mean effect of
// the vent on the shift at installation is what was planted for fixed-air burners,
// within three errors of that mean, and far from nothing.
func TestPlantedShiftAtInstallation(t *testing.T) {
	var found []float64
	planted := 0.0
	for seed := range uint64(16) {
		w := fleet.Demo()
		w.FactoryTests, w.CallOutsPerYear, w.Fans = true, 0, fleet.FansOfAll
		f := fleet.New(fleet.Options{Units: 600, Years: 12, Seed: 121 + seed, AsOf: asOf, World: w})
		for _, e := range f.PlantedEffects() {
			if e.Name == "vent level" && e.Control == "fixed air" && e.Fire == "high" {
				planted = e.Value
			}
		}
		s := studied(t, f)
		require.NotEmpty(t, s.Flow.LeftOut)
		before := len(found)
		for _, e := range s.Effects {
			if e.Primary {
				found = append(found, e.Contrast.Value)
			}
		}
		require.Len(t, found, before+1)
	}
	mean, sd := stat.MeanStdDev(found, nil)
	t.Logf("planted %.3f, found %.3f, sd %.3f", planted, mean, sd)
	require.InDelta(t, planted, mean, 3*sd/4)
	require.Greater(t, mean, 3*sd/4)
}

// studied makes the study of a fleet's units with fixed air.
func studied(t *testing.T, f *fleet.Fleet) *Study {
	t.Helper()
	values := f.Histories()
	var all []*judge.History
	for i := range values {
		if values[i].Unit.Control == "fixed air" {
			all = append(all, &values[i])
		}
	}
	fuels, err := combustion.Fuels(map[string]float64{"natural gas": 11.8, "propane": 13.7}, combustion.AirO2Field)
	require.NoError(t, err)
	rules := estimate.DefaultRules(asOf, judge.DefaultRules(fuels))
	s, err := Run(all, rules, Settings{Bound: 0.05, Draws: 400, Seed: 1, Primary: Primary{Installation, judge.High}})
	require.NoError(t, err)
	return s
}
