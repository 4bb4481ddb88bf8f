package combustion_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/model/combustion"
)

// rounded rounds to so many decimals.
func rounded(v float64, decimals int) float64 {
	f := math.Pow10(decimals)
	return math.Round(v*f) / f
}

// computedPairs are what an analyzer set to a CO2max shows.
func computedPairs(t *rapid.T, max float64, decimals, n int) []combustion.Pair {
	half := 0.5 * math.Pow10(-decimals)
	var pairs []combustion.Pair
	for range n {
		o2 := rapid.Float64Range(2, 8).Draw(t, "o2")
		pairs = append(pairs, combustion.Pair{
			CO2Percent: rounded(max*(1-o2/20.9), decimals), O2Percent: rounded(o2, decimals), CO2Half: half,
			O2Half: half,
		})
	}
	return pairs
}

// Whatever the setting, the record's decimals and the O2: computed pairs are
// recognised and the setting lies in the range given, in any order.
func TestInfersTheSetting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		max := rapid.Float64Range(10, 16).Draw(t, "co2max")
		pairs := computedPairs(t, max, rapid.IntRange(1, 2).Draw(t, "decimals"), 40)
		r := combustion.InferCO2Max(pairs, combustion.AirO2Field)
		require.Equal(t, 1.0, r.Share)
		require.Equal(t, 40, r.Pairs)
		require.LessOrEqual(t, r.Within.Low, max)
		require.GreaterOrEqual(t, r.Within.High, max)
		if r.Computed { // 40 draws of O2 may by chance be alike
			require.InDelta(t, max, r.CO2MaxPercent, 0.1)
			require.Less(t, r.FoSpread, 0.016)
		}
		reversed := make([]combustion.Pair, len(pairs))
		for i, p := range pairs {
			reversed[len(pairs)-1-i] = p
		}
		require.Equal(t, r.Within, combustion.InferCO2Max(reversed, combustion.AirO2Field).Within)
	})
}

// spread is a fixed sequence without pattern in (-1, 1): the golden-ratio
// sequence.
func spread(i int) float64 { return 2*math.Mod(float64(i)*0.6180339887498949, 1) - 1 }

// Two cells of their own, each 0.3 points off at most, are not taken for one;
// a tenth of mistyped rows does not hide computed ones; too few, or always the
// same pair, is no proof.
func TestInfersNothingFromTwoCells(t *testing.T) {
	var cells, typos, same, half []combustion.Pair
	for i := range 40 {
		o2 := 5 + 1.5*spread(i)
		clean := 11.7 * (1 - o2/20.9)
		cells = append(cells, combustion.Pair{
			CO2Percent: rounded(clean+0.3*spread(3*i+1), 1), O2Percent: rounded(o2+0.3*spread(7*i+2), 1),
			CO2Half: 0.05, O2Half: 0.05,
		})
		p := combustion.Pair{CO2Percent: rounded(clean, 1), O2Percent: rounded(o2, 1), CO2Half: 0.05, O2Half: 0.05}
		same = append(same, combustion.Pair{CO2Percent: 9, O2Percent: 4.8, CO2Half: 0.05, O2Half: 0.05})
		half = append(half, p)
		if i%3 == 0 {
			half[i].CO2Percent -= 1.5 * (1 + spread(i)/2)
		}
		if i%10 == 0 {
			p.CO2Percent++
		}
		typos = append(typos, p)
	}
	r := combustion.InferCO2Max(cells, combustion.AirO2Field)
	require.False(t, r.Computed)
	require.True(t, math.IsNaN(r.CO2MaxPercent))
	require.Greater(t, r.FoSpread, 0.016)
	r = combustion.InferCO2Max(typos, combustion.AirO2Field)
	require.True(t, r.Computed)
	require.InDelta(t, 11.7, r.CO2MaxPercent, 0.03)
	r = combustion.InferCO2Max(half, combustion.AirO2Field)
	require.False(t, r.Computed, "a third of other origin")
	require.InDelta(t, 0.65, r.Share, 0.05)
	require.False(t, combustion.InferCO2Max(same, combustion.AirO2Field).Computed)
	require.False(t, combustion.InferCO2Max(typos[1:8], combustion.AirO2Field).Computed)
	nan := combustion.InferCO2Max([]combustion.Pair{{CO2Percent: math.NaN(), O2Percent: 5}, {CO2Percent: 1, O2Percent: 19}},
		combustion.AirO2Field)
	require.Zero(t, nan.Pairs)
	require.True(t, math.IsNaN(nan.FoSpread))
}

// Shifts: no change is no shift, there and back is none either, and a colder
// day or a thinner path moves each control to the side physics gives it.
func TestShifts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(-30, 40).Draw(t, "a"), rapid.Float64Range(-30, 40).Draw(t, "b")
		for _, shift := range []func(a, b float64) float64{
			combustion.FixedFanByAirTemp, combustion.RatioControlByAirTemp,
			func(a, b float64) float64 { return combustion.FixedFanByPressure(1e5+100*a, 1e5+100*b) },
		} {
			require.InDelta(t, 1, shift(a, a), 1e-12)
			require.InDelta(t, 1, shift(a, b)*shift(b, a), 1e-12)
		}
		if math.Abs(a-b) > 1e-9 {
			require.Equal(t, b < a, combustion.FixedFanByAirTemp(a, b) > 1)
		}
		s := drawBurn(t)
		require.InDelta(t, 1, combustion.ByGas(s, s), 1e-12)
		co2 := 0.8 * s.CO2MaxPercent()
		require.InDelta(t, co2, s.CO2After(co2, 1), 1e-9)
		l, step := s.LambdaFromCO2(co2), 1e-6
		slope := (math.Log(s.CO2After(co2, 1+step)) - math.Log(s.CO2After(co2, 1-step))) / (2 * step)
		require.InDelta(t, s.Sensitivity(l), slope, 1e-5, "the derivative is the difference quotient")
	})
	s, err := combustion.Methane.Burn(combustion.AirO2Field)
	require.NoError(t, err)
	require.True(t, math.IsNaN(s.Sensitivity(0.9)))
	require.True(t, math.IsNaN(s.CO2After(11.5, 0.9)))
}
