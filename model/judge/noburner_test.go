package judge_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/combustion"
	. "fluedrift/model/judge"
)

// Limits of CO2, O2 and lambda: common practice, no source. Lambda 6 of propane
// is 2.13 % CO2 of its own composition; the rule goes by CO2max and lies at 2.09.
func TestNoBurner(t *testing.T) {
	r := rules(t)
	for _, c := range []struct {
		fuel    string
		co2, o2 float64
		want    bool
	}{
		{"natural gas", 0, 20.9, true},
		{"natural gas", 0, nan, true},
		{"natural gas", nan, 20.5, true},
		{"natural gas", nan, 18, true},
		{"natural gas", 1.9, nan, true},
		{"natural gas", 2, nan, false},
		{"natural gas", nan, 17.5, false},
		{"natural gas", nan, 17.6, true},
		{"natural gas", 9, 5, false},
		{"natural gas", nan, nan, false},
		{"natural gas", 0, 5, true},
		{"natural gas", 9, 20.9, true},
		{"propane", 2.05, nan, true},
		{"propane", 2.2, nan, false},
		{"peat", 2.05, nan, false},
		{"", nan, 20.9, true},
	} {
		x := value(AsFound, c.co2)
		x.O2Percent, x.Fuel = c.o2, c.fuel
		require.Equal(t, c.want, r.NoBurner(&x), "%+v", c)
	}
	require.False(t, (&Config{}).NoBurner(&Reading{CO2Percent: 0, O2Percent: 20.9}), "without figures nothing is judged")

	burn, err := combustion.Propane.Burn(combustion.AirO2Field)
	require.NoError(t, err)
	require.InDelta(t, 2.09, burn.CO2FromLambda(6), 0.06)
}

// What was read without a burner at work is left out and no yardstick: the far
// as left before it stays open, the copy after it is one of the reading before.
func TestNoBurnerIsNoYardstick(t *testing.T) {
	idle := full(AsLeft, 0, 20.9, 0, 20, 20)
	h := history(on(100, Yes, value(AsFound, 9.1), value(AsLeft, 9.4)), on(465, "", idle))
	j := Judge(h, rules(t))
	require.Equal(t, []Kind{NoBurner, AsLeftFar}, kinds(j))
	require.True(t, j.Findings[0].Open)
	require.True(t, j.Findings[1].Open)
	require.Equal(t, LeftOut, j.Uses[2])
	require.Equal(t, []int{2}, j.Findings[0].Readings)

	copied := full(AsFound, 9.0, 5.0, 12, 61, 20)
	h = history(on(100, "", copied), on(465, "", idle), on(830, "", copied))
	require.Equal(t, []Kind{NoBurner, CopiedVisit}, kinds(Judge(h, rules(t))))

	between := full(Between, 0, 20.9, 0, 20, 20)
	require.Empty(t, Judge(history(on(100, "", value(AsFound, 9.0), between)), rules(t)).Findings)
}
