package estimate_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/model/drift"
)

// What is believed decides where nothing can be fitted, weighs in where little
// can, and the ratios are those believed in both.
func TestPriorsDecideWhereRecordsCannot(t *testing.T) {
	believe := func(r *estimate.Config) {
		r.Priors.Rate = drift.Prior{Mean: -0.04, SD: 0.001}
		r.Priors.Ratios, r.Priors.NoisePoints = drift.Theta{Q: 0.5, Tau: 0.6, B1: 0.4, B2: 0.3}, 0.1
	}
	for _, c := range []struct {
		units int
		how   drift.How
	}{{4, drift.Defaults}, {30, drift.WithPriors}} {
		o := estimated(t, 1, c.units, demo.Plain(), believe)
		fit := o.out.Fits[0].Beta
		require.Equal(t, c.how, fit.How, "%+v", fit.Ended())
		require.Equal(t, [2]float64{0.5, 0.6}, [2]float64{fit.Theta.Q, fit.Theta.Tau})
		found := 0
		for _, k := range fit.Coefficients {
			if strings.HasPrefix(k.Name, "time, ") && k.Dropped == nil && !strings.Contains(k.Name, "burning") {
				found++
				require.InDelta(t, -0.04, k.Value, 0.003, k.Name)
			}
		}
		require.Positive(t, found)
		if c.how == drift.Defaults {
			require.Equal(t, 0.1, fit.Sigma)
		}
	}
}
