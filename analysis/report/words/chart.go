package words

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

// ChartFire tells a panel of a chart to who cannot see it.
func ChartFire(f *watch.ChartFire, asOf day.Day) string {
	label := Capital(FireLabel(f.Fire, math.NaN()))
	w := []string{label + ": no reading"}
	if n := len(f.Dots); n > 0 {
		w[0] = label + ": " + Counted(n, "reading") + " from " + Day(f.Dots[0].Day) + " to " + Day(f.Dots[n-1].Day) +
			", the last " + GasNumber(f.Dots[n-1].CO2Percent) + " % CO2"
	}
	if n := len(f.Bands); n > 0 {
		w = append(w, "target now "+GasNumber(f.Bands[n-1].Target))
	}
	if n := len(f.Fan); n > 0 {
		w = append(w, "expected on "+Day(asOf)+" "+pathPoint(f.Fan[0]))
		if z := f.Fan[n-1]; z.Day > asOf {
			w = append(w, "on "+Day(z.Day)+" "+pathPoint(z))
		}
	}
	return strings.Join(w, "; ") + "."
}

func pathPoint(p analysis.PathPoint) string {
	return Number(p.CO2Percent, 1) + " (" + Number(p.LowPercent, 1) + " to " + Number(p.HighPercent, 1) + ")"
}

// FireInterval tells a row's drawn interval to who cannot see it.
func FireInterval(f *watch.FireLine) string {
	w := FireLabel(f.Fire, f.RatePercent)
	switch p := f.Forecast; {
	case p != nil && !math.IsNaN(p.CO2Percent):
		w += fmt.Sprintf(" expected %s %% CO2, 90 %% range %s to %s", Number(p.CO2Percent, 1), Number(p.LowPercent, 1), Number(p.HighPercent, 1))
	case f.Reading != nil && !math.IsNaN(f.CO2Percent):
		w += fmt.Sprintf(" last read %s %% CO2, not judged", Number(f.CO2Percent, 1))
	default:
		w += " not read"
	}
	b := f.Bands
	if math.IsNaN(b.Target) {
		return w + ", no target"
	}
	w += ", target " + GasNumber(b.Target)
	if !math.IsNaN(b.ActLow + b.ActHigh) {
		w += fmt.Sprintf(", limits %s to %s", GasNumber(b.ActLow), GasNumber(b.ActHigh))
	}
	return w
}
