package estimate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
)

// Analyzers that never meet fall into groups, and nothing is claimed across them;
// one that works everywhere joins them.
func TestGroupsOfAnalyzers(t *testing.T) {
	apart := estimated(t, 141, 240, modelsWorld(), quick)
	groups := map[int]bool{}
	for _, a := range apart.out.Fits[0].Fit.Analyzers {
		if a.Component >= 0 {
			groups[a.Component] = true
		}
	}
	require.Greater(t, len(groups), 1)
	require.True(t, apart.hasNote("groups that were never compared with each other"))
	joined := estimated(t, 141, 240, plainWith(func(w *demo.World) { w.OneContractor = 0.5 }), quick)
	require.False(t, joined.hasNote("groups that were never compared with each other"))
}

// A vent effect known too badly, from few units with noisy analyzers, is no figure
// for an engineer; from enough units it is.
func TestVentEffectNeedsUnits(t *testing.T) {
	few := estimated(t, 151, 12, plainWith(func(w *demo.World) { w.NoiseSD = 0.3 }), quick)
	many := estimated(t, 151, 300, modelsWorld(), quick)
	seen := 0
	for _, e := range few.out.Fits[0].Effects {
		if e.Name == "vent, ratio" {
			seen++
			require.False(t, e.Usable, "%+v of %+v", e, few.out.Fits[0].Fit.Counts)
			require.IsType(t, estimate.VentKnownPoorly{}, e.Why)
		}
	}
	for _, e := range many.out.Fits[0].Effects {
		if e.Name == "vent, ratio" {
			seen++
			require.True(t, e.Usable, "%#v", e.Why)
		}
	}
	require.Equal(t, 2, seen)
}

// Identity: what a display in steps shows outside its band begins half a step
// beyond it. Of units in one state the normal distribution of the reading says
// with what probability.
func TestShownBeginsHalfAStepBeyond(t *testing.T) {
	o := estimated(t, 161, 60, modelsWorld(), quick)
	checked := 0
	for i := range o.histories {
		plain, steps := o.out.DisplayedAt(i, asOf, 0), o.out.DisplayedAt(i, asOf, 0.1)
		for k, s := range steps {
			require.LessOrEqual(t, s.Chance.Out(), plain[k].Chance.Out())
			if math.Abs(s.HighPoints+s.LowPoints-2*s.ExpectedPoints) > 1e-9 {
				continue // more than one state
			}
			n := distuv.Normal{Mu: s.ExpectedPoints, Sigma: (s.HighPoints - s.LowPoints) / 2 / 1.6448536269514722}
			require.InDelta(t, 1-n.CDF(s.RichPoints+0.05), s.Chance.Rich, 1e-9)
			require.InDelta(t, n.CDF(s.LeanPoints-0.05), s.Chance.Lean, 1e-9)
			checked++
		}
	}
	require.Greater(t, checked, 20)
}
