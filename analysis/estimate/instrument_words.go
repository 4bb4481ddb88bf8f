package estimate

import (
	"fmt"
	"math"
)

// instrumentWords says it fire by fire.
func instrumentWords(f *Fleet) (words []string) {
	for i := range f.Fits {
		fit := &f.Fits[i]
		if !math.IsNaN(fit.PeriodSD) {
			words = append(words, fit.WildWords())
		}
		if fit.inseparable() {
			words = append(words, fmt.Sprintf("%s fire: instruments and units cannot be told apart on these records: an analyzer that "+
				"reads lower from calibration to calibration looks like units that drift. Intervals allow for ±%.2f points a year.",
				fit.Fire, f.b.rules.Priors.AgeingSD))
		}
		words = append(words, stepWords(fit, f)...)
		if w := fit.TrendWords(); w != "" {
			words = append(words, w)
		}
	}
	return words
}

// stepWords name the instruments that stand far off, and how many units wait for
// another to read them.
func stepWords(f *FireFit, all *Fleet) (words []string) {
	for _, s := range f.Fit.Steps {
		open := 0
		for i := range all.Forecasts {
			for k := range all.Forecasts[i].Fires {
				x := &all.Forecasts[i].Fires[k]
				sameFit := x.Fire == f.Fire || f.Fire != fires[1].name && x.Fire != fires[1].name
				if sameFit && x.Open() && x.Suspect.Analyzer == f.Analyzers[s.Analyzer].Name {
					open++
				}
			}
		}
		side, when := "above", "before"
		if s.Difference < 0 {
			side = "below"
		}
		if s.After {
			when = "after"
		}
		since := dayAt(s.From).Time().Format("January 2006")
		words = append(words, fmt.Sprintf("%s fire: analyzer %s reads %.2f points of CO2 %s what read its units %s, since %s: one "+
			"of the instruments is off, or %d units moved at once. %d units are to be read again with another analyzer.",
			f.Fire, f.Analyzers[s.Analyzer].Name, math.Abs(s.Difference), side, when, since, s.Links, open))
	}
	return words
}
