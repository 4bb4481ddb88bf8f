package words

import (
	"fmt"
	"math"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
)

// aimOn says so of a unit whose CO does not ask for attention first: there the cause comes
// before any setting.
func aimOn(l *watch.Line, f *analysis.FireForecast) string {
	if l.CO.Level >= watch.COAttention {
		return ""
	}
	return aim(f)
}

// aim says where in its setting band a fire is best left today; "" where its target is
// as good, or nothing says so.
func aim(f *analysis.FireForecast) string {
	if f.Aim.Points == 0 || math.IsNaN(f.Aim.Points+f.TargetCO2Percent) {
		return ""
	}
	return fmt.Sprintf("In the weather of these days, leave it at about %s %% CO2, %s the target of %s: "+
		"that avoids about %s out of limits in the next year."+aimCaution,
		Number(f.TargetCO2Percent+f.Aim.Points, 2), sideOfTarget(f.Aim.Points), GasNumber(f.TargetCO2Percent), dayCount(f.Aim.GainDays))
}

// aimCaution ends what is said of an aim.
const aimCaution = " This is a suggestion inside the setting band; the appliance's instructions come first."

func sideOfTarget(points float64) string {
	if points > 0 {
		return "above"
	}
	return "below"
}

// dayCount is a number of days in steps that an estimate of them deserves.
func dayCount(days float64) string {
	const step = 5
	return Counted(int(step*math.Round(days/step)), "day")
}
