package watch

import (
	"fmt"
	"math"

	"fluedrift/analysis"
)

// outlookOf tells the forecast of each fire and what it is made of.
func outlookOf(f *analysis.Forecast) (lines []string) {
	if f == nil {
		return nil
	}
	for i := range f.Fires {
		lines = append(lines, fireOutlook(&f.Fires[i])...)
	}
	return lines
}

// fireOutlook tells one fire: the state, the chances, the parts.
func fireOutlook(f *analysis.FireForecast) []string {
	lines := []string{fmt.Sprintf("%s: expected at %s %% CO2 today (90 %% interval %s to %s; a reading would show %s to %s), target %s, action band %s to %s.",
		upper(fireLabel(f.Fire, f.RatePercent)), number(f.CO2Percent, 2), number(f.LowPercent, 2), number(f.HighPercent, 2),
		number(f.RecordedLowPercent, 2), number(f.RecordedHighPercent, 2), gasNumber(f.TargetCO2Percent),
		number(f.TargetCO2Percent-f.ActLeanPercent, 2), number(f.TargetCO2Percent+f.ActRichPercent, 2))}
	if !math.IsNaN(f.Today.Out()) {
		lines = append(lines, fmt.Sprintf("  Outside the action band: %s percent likely today (rich %s, lean %s), %s on %s, at worst %s on %s. Expected to leave it: %s.",
			percent(f.Today.Out()), percent(f.Today.Rich), percent(f.Today.Lean), percent(f.Planned.Out()), DayWords(f.Planned.Day),
			percent(f.Worst.Out()), DayWords(f.Worst.Day), f.FirstOutside))
	}
	sum := "  Made of:"
	for k, p := range f.Parts {
		if k > 0 {
			sum += ";"
		}
		sum += fmt.Sprintf(" %s %+.2f", p.Name, p.Points)
	}
	lines = append(lines, sum+" points from the target.")
	if f.Verify != nil {
		lines = append(lines, fmt.Sprintf("  %s It was written wrongly with a probability of %s percent.", verifyWords(f), percent(f.Verify.MistakeProbability)))
	}
	return lines
}

// percent writes a probability in percent, without claiming certainty.
func percent(p float64) string {
	switch {
	case math.IsNaN(p):
		return "-"
	case p > 0.99:
		return "over 99"
	case p > 0 && p < 0.01:
		return "under 1"
	}
	return number(100*p, 0)
}
