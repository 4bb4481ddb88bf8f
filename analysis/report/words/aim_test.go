package words

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
)

func TestAim(t *testing.T) {
	f := &analysis.FireForecast{TargetCO2Percent: 9.2, Aim: analysis.Aim{Points: -0.15, GainDays: 43}}
	assert.Equal(t, "In the weather of these days, leave it at about 9.05 % CO2, below the target of 9.2: that avoids about 45 "+
		"days out of limits in the next year. This is a suggestion inside the setting band; the appliance's instructions come first.", aim(f))
	f.Aim = analysis.Aim{}
	assert.Empty(t, aim(f))
	f.TargetCO2Percent, f.Aim.Points = math.NaN(), 0.1
	assert.Empty(t, aim(f))
}

// A unit whose CO asks for attention is not told how to be set.
func TestNoAimBeforeCO(t *testing.T) {
	f := &analysis.FireForecast{TargetCO2Percent: 9.2, Aim: analysis.Aim{Points: -0.15, GainDays: 43}}
	for level, told := range map[watch.Level]bool{
		watch.COUnknown: true, watch.COBelow: true, watch.COAttention: false,
		watch.COUrgent: false,
	} {
		assert.Equal(t, told, aimOn(&watch.Line{CO: watch.CO{Level: level}}, f) != "")
	}
}
