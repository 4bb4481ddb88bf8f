package words

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/report/units"
	"fluedrift/analysis/study"
)

// A point of CO2 in 18 K is one in 32.4 degF.
func TestEffectsByTheDegreeOfTheReader(t *testing.T) {
	m := &study.Model{Effects: []study.ModelEffect{
		{Value: 1. / 18, SE: 1. / 180, Low: 0.9 / 18, High: 1.1 / 18, Unit: "points per K", Coding: "kelvin above 10 degC; 0 at other controls"},
		{Value: 0.5, Unit: "points a year"},
	}}
	si := ModelGroups(units.SI, m)[0].Rows
	require.Equal(t, m.Effects, si)
	us := ModelGroups(units.System(units.US), m)[0].Rows
	require.InDelta(t, 1/32.4, us[0].Value, 1e-12)
	require.InDelta(t, 1/324., us[0].SE, 1e-12)
	require.InDelta(t, 0.2/32.4, us[0].High-us[0].Low, 1e-12)
	require.Equal(t, "points per degF", us[0].Unit)
	require.Equal(t, "degF above 50 degF; 0 at other controls", us[0].Coding)
	require.Equal(t, m.Effects[1], us[1])
}
