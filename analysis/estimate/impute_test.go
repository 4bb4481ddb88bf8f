package estimate

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// A vent that is not on record is taken as the median of those of its model line,
// or of the fleet where fewer than five of the line are known, and only in the
// column of the unit's own burner control: a median over all units would be near 0
// there, the units of other controls having no part in that column.
func TestUnknownVentIsImputedByItsLine(t *testing.T) {
	hs, r := ventFleet(t, true)
	hs[0].Unit.ModelLine = "a line of one"
	for _, i := range []int{0, 7} {
		for k := range hs[i].VentRuns {
			hs[i].VentRuns[k].Known, hs[i].VentRuns[k].LengthM = false, math.NaN()
		}
	}
	f, err := Run(context.Background(), hs, r)
	require.NoError(t, err)
	known := func(line string) (all []float64) {
		for i, h := range hs {
			if z := f.VentNow(i); !math.IsNaN(z) && (line == "" || h.Unit.ModelLine == line) {
				all = append(all, z)
			}
		}
		slices.Sort(all)
		return all
	}
	median := func(sorted []float64) float64 { return (sorted[(len(sorted)-1)/2] + sorted[len(sorted)/2]) / 2 }
	lines, fleets := 0, 0
	for i := range f.Fits {
		fit := &f.Fits[i]
		names := map[string]bool{}
		for k, u := range fit.units {
			if !math.IsNaN(f.VentNow(fit.index[k])) {
				continue
			}
			of := known(u.h.Unit.ModelLine)
			if len(of) < minDonors {
				of = known("")
				fleets++
			} else {
				lines++
			}
			own := fit.columns.drift[u.b.vents.column(u.stratumOf())]
			names[u.b.vents.column(u.stratumOf())] = true
			require.InDelta(t, median(of), u.s.Imputed.Rate[own], 1e-12)
			require.Positive(t, u.s.Imputed.Var[own])
			for c := range u.s.Imputed.Rate {
				if c != own && c != fit.columns.drift[colAge] {
					require.Zero(t, u.s.Imputed.Rate[c], fit.columns.design.Drift[c].Name)
					require.Zero(t, u.s.Imputed.Var[c], fit.columns.design.Drift[c].Name)
				}
			}
			require.Equal(t, u.s.Imputed, fit.series[k].Imputed)
		}
		require.Greater(t, len(names), 2, "columns of several controls")
	}
	require.Greater(t, lines, 20)
	require.Positive(t, fleets)
}
