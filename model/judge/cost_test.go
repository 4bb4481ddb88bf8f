package judge_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/model/combustion"
	. "fluedrift/model/judge"
)

const seaLevelPa = 101325

// The US DOE table (Steam Tip Sheet 4, January 2006, read in transcription) has
// 84.7 % at 5 % O2 and 84.1 % at 7 % O2, 200 degF above the air: 0.6 points of
// efficiency and 0.7 % of fuel between them, each printed to a tenth, so within
// 0.1. Likewise 79.5 and 78.2 at 400 degF.
func TestCostAgainstTheDOETable(t *testing.T) {
	r := rules(t)
	methane, err := combustion.Methane.Burn(combustion.AirO2Field)
	require.NoError(t, err)
	co2 := func(o2 float64) float64 { return methane.CO2FromLambda(methane.LambdaFromO2(o2)) }
	for netF, eff := range map[float64][2]float64{200: {84.7, 84.1}, 400: {79.5, 78.2}} {
		x := full(AsFound, co2(7), nan, nan, 20+netF/1.8, 20)
		x.Target = setTo(co2(5))
		c := Losses{&r, combustion.Methane, seaLevelPa}.OfLean(&x)
		require.Equal(t, HasCost, c.NoCost)
		require.InDelta(t, eff[0]-eff[1], c.LossPoints.Value, 0.15)
		require.InDelta(t, 100*(eff[0]/eff[1]-1), c.FuelPercent.Value, 0.2)
		require.Equal(t, WithOrdinance, c.Method)
	}
}

// The leaner, the dearer; the centre lies between the limits; a warmer flue
// costs more. Above the dew point.
func TestCostIsMonotone(t *testing.T) {
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		target := rapid.Float64Range(8, 10).Draw(t, "target")
		lean := rapid.Float64Range(0.1, 2).Draw(t, "lean")
		flue := rapid.Float64Range(80, 250).Draw(t, "flue")
		cost := func(co2, flueC float64) Cost {
			x := full(AsFound, co2, nan, nan, flueC, 20)
			x.Target = setTo(target)
			return Losses{&r, combustion.PipelineGas, seaLevelPa}.OfLean(&x)
		}
		c := cost(target-lean, flue)
		require.Equal(t, HasCost, c.NoCost)
		for _, e := range []Estimate{c.LossPoints, c.FuelPercent} {
			require.Positive(t, e.Value)
			require.LessOrEqual(t, e.Low, e.Value)
			require.GreaterOrEqual(t, e.High, e.Value)
		}
		require.Greater(t, c.FuelPercent.Value, c.LossPoints.Value, "a point of loss is more than a percent of what is left")
		require.Greater(t, cost(target-lean-0.1, flue).FuelPercent.Value, c.FuelPercent.Value)
		require.Greater(t, cost(target-lean, flue+10).LossPoints.Value, c.LossPoints.Value)
	})
}

// A condensing unit loses more by leaning than its sensible heat: its dew
// point falls. The ordinance's formula means nothing there.
func TestCostBelowTheDewPoint(t *testing.T) {
	r := rules(t)
	x := full(AsFound, 8.0, nan, nan, 45, 20)
	cold := Losses{&r, combustion.PipelineGas, seaLevelPa}.OfLean(&x)
	require.Equal(t, HasCost, cold.NoCost)
	require.Equal(t, IndirectBalance, cold.Method)
	x.FlueTempC = 75
	require.Greater(t, cold.LossPoints.Value, Losses{&r, combustion.PipelineGas, seaLevelPa}.OfLean(&x).LossPoints.Value)
	require.Greater(t, cold.LossPoints.Low, 0.0)
}

// Each way of having no cost says why; rich is not a saving.
func TestNoCost(t *testing.T) {
	r := rules(t)
	x := full(AsFound, 8.0, nan, nan, 75, 20)
	why := func(change func(*Reading)) NoCost {
		y := x
		change(&y)
		c := Losses{&r, combustion.PipelineGas, seaLevelPa}.OfLean(&y)
		require.True(t, math.IsNaN(c.LossPoints.Value) && math.IsNaN(c.FuelPercent.High))
		require.Equal(t, NotComputed, c.Method)
		return c.NoCost
	}
	require.Equal(t, RichOfTarget, why(func(x *Reading) { x.CO2Percent = 9.5 }))
	require.Equal(t, OnTarget, why(func(x *Reading) { x.CO2Percent = 9.0 }))
	require.Equal(t, NothingToCompare, why(func(x *Reading) { x.Target = Target{} }))
	require.Equal(t, NothingToCompare, why(func(x *Reading) { x.CO2Percent = nan }))
	require.Equal(t, TemperaturesMissing, why(func(x *Reading) { x.AirTempC = nan }))
	require.Equal(t, FlueHardlyWarm, why(func(x *Reading) { x.FlueTempC = 22 }))
	require.Equal(t, OutsideComposition, why(func(x *Reading) { x.Target = setTo(12.5) }))
	require.Equal(t, NoBalance, why(func(x *Reading) { x.Fuel = "peat" }))
}
