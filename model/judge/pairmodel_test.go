package judge

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/combustion"
)

// pairsBy is a history of readings of one analyzer with their two gases: CO2 in
// tenths and the O2 it was computed from, for a CO2max of 11.8 %, in hundredths.
// Noise is added to the CO2.
func pairsBy(noise func(k int) float64) *History {
	h := &History{Unit: Unit{Serial: "S"}, Visits: []Visit{{Source: "north", AdjustedHigh: No}}}
	for k := range 60 {
		co2 := 8 + 0.05*float64(k)
		o2 := 20.9 * (1 - co2/11.8)
		h.Readings = append(h.Readings, Reading{
			Fire: High, Condition: AsFound, Fuel: "natural gas", Analyzer: "A-1",
			CO2Percent: math.Round(10*(co2+noise(k))) / 10, O2Percent: math.Round(100*o2) / 100, CO2Decimals: 1, O2Decimals: 2, COPPM: math.NaN(),
		})
	}
	return h
}

// Whether one gas is computed from the other is told from all pairs of an
// analyzer, typing errors among them; what contradicts itself lies beyond its
// steps and what pairs like it are off. 1.2 points of O2 are 0.68 of CO2 at a
// CO2max of 11.8 % (CO2 = CO2max (1 - O2/20.9)).
func TestPairsOfAnAnalyzer(t *testing.T) {
	fuels, err := combustion.Fuels(map[string]float64{"natural gas": 11.8, "propane": 13.7}, combustion.AirO2Field)
	require.NoError(t, err)
	r := DefaultConfig(fuels)
	one := PairOf{"north", "A-1"}

	computed := pairsBy(func(int) float64 { return 0 })
	computed.Readings[7].O2Percent += 1.2
	r.Pairs = PairsIn([]*History{computed}, &r)
	require.True(t, r.Pairs[one].Computed)
	require.Equal(t, 60, r.Pairs[PairOf{Source: "north"}].Pairs)
	for i := range computed.Readings {
		require.Equal(t, i != 7, r.PairsOf("north").Agree(&computed.Readings[i]), i)
	}
	unknown := computed.Readings[7]
	unknown.Analyzer = "A-2"
	require.False(t, r.PairsOf("north").Agree(&unknown), "an analyzer with few pairs is judged by its source")
	require.True(t, r.PairsOf("south").Agree(&unknown), "of a source without pairs nothing is known")
	require.InDelta(t, unknown.CO2Percent-0.68, r.PairsOf("north").CO2OfO2(&unknown), 0.06)

	// two cells of their own: 0.2 points of scatter are no contradiction, three times as much is
	cells := pairsBy(func(k int) float64 { return 0.2 * math.Sin(2.4*float64(k)) })
	cells.Readings[7].CO2Percent += 1.2
	r.Pairs = PairsIn([]*History{cells}, &r)
	require.False(t, r.Pairs[one].Computed)
	for i := range cells.Readings {
		require.Equal(t, i != 7, r.PairsOf("north").Agree(&cells.Readings[i]), i)
	}

	// set to propane: the O2 was measured, the CO2 computed for another fuel
	set := computed.Readings[3]
	set.CO2Percent = 13.7 * (1 - set.O2Percent/20.9)
	require.True(t, r.PairsOf("north").SetToOther(&set))
	require.False(t, r.PairsOf("north").SetToOther(&computed.Readings[3]))

	few := pairsBy(func(int) float64 { return 0 })
	few.Readings = few.Readings[:12]
	require.Empty(t, PairsIn([]*History{few}, &r))
}
