package vent_test

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/model/quantity"
	"fluedrift/model/vent"
)

// Units do not matter: a firing and a run written in any unit a record may use,
// each number in one of its own, give the loss, the draft and the equivalent
// length of the same in metres, kW, Pa and degC.
func TestUnitsDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		written := func(v float64, canonical string, units ...string) float64 {
			unit := quantity.MustLookup(rapid.SampledFrom(units).Draw(t, "unit"))
			there, err := quantity.Convert(v, quantity.MustLookup(canonical), unit)
			require.NoError(t, err)
			back, err := quantity.Convert(there, unit, quantity.MustLookup(canonical))
			require.NoError(t, err)
			return back
		}
		length := func(v float64) float64 { return written(v, "m", "ft", "in", "cm", "mm") }
		degrees := func(v float64) float64 { return written(v, "degC", "degF", "K") }
		f, r := drawFiring(t), drawRun(t)
		g, q := f, vent.Run{Elbow: r.Elbow, Terminal: r.Terminal}
		g.InputKW = written(f.InputKW, "kW", "Btu/h", "MBH", "therm/h", "MW", "W")
		g.FlueTempC, g.AirTempC = degrees(f.FlueTempC), degrees(f.AirTempC)
		g.PressurePa = written(f.PressurePa, "Pa", "hPa", "mbar", "in w.c.", "psi", "kPa")
		for _, x := range r.Sections {
			x.DiameterM, x.LengthM, x.RiseM = length(x.DiameterM), length(x.LengthM), length(x.RiseM)
			q.Sections = append(q.Sections, x)
		}
		flue, air, err := f.Streams()
		require.NoError(t, err)
		flue2, air2, err := g.Streams()
		require.NoError(t, err)
		require.InEpsilon(t, flue.MassKgS, flue2.MassKgS, 1e-9)
		require.InEpsilon(t, r.VentLoss(flue).TotalPa.High, q.VentLoss(flue2).TotalPa.High, 1e-9)
		require.InEpsilon(t, r.AirLoss(air).TotalPa.Low, q.AirLoss(air2).TotalPa.Low, 1e-9)
		rule := vent.HandbookElbows()
		require.InEpsilon(t, r.EquivalentLengthM(rule, 0.15), q.EquivalentLengthM(rule, 0.15), 1e-9)
	})
}
