package words

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

// Outlook tells the forecast of each fire and what it is made of; nothing without a
// forecast. Where CO asks for attention, nothing is said about setting the burner.
func Outlook(l *watch.Line) (lines []string) {
	f := l.Forecast
	if f == nil {
		return nil
	}
	told := map[*analysis.FireForecast]bool{}
	for _, r := range l.Reasons {
		told[unconfirmedOf(r)] = true
	}
	for i := range f.Fires {
		lines = append(lines, fireOutlook(&f.Fires[i], told[&f.Fires[i]])...)
		if aim := aimOn(l, &f.Fires[i]); aim != "" {
			lines = append(lines, "  "+aim)
		}
	}
	return lines
}

// fireOutlook tells one fire: the state, the chances, the parts; that its last reading
// is unconfirmed where no reason told it.
func fireOutlook(f *analysis.FireForecast, told bool) []string {
	lines := []string{fmt.Sprintf("%s: expected at %s %% CO2 today (90 %% interval %s to %s; a reading would show %s to "+
		"%s), target %s, limits %s to %s.",
		Capital(FireLabel(f.Fire, f.RatePercent)), Number(f.CO2Percent, 2), Number(f.LowPercent, 2), Number(f.HighPercent, 2),
		Number(f.RecordedLowPercent, 2), Number(f.RecordedHighPercent, 2), GasNumber(f.TargetCO2Percent),
		Number(f.TargetCO2Percent-f.ActLeanPercent, 2), Number(f.TargetCO2Percent+f.ActRichPercent, 2))}
	if !math.IsNaN(f.Today.Out()) {
		lines = append(lines, "  "+Capital(chances(f)))
	}
	var sum strings.Builder
	sum.WriteString("  Made of:")
	for k, p := range f.Parts {
		if k > 0 {
			sum.WriteString(";")
		}
		fmt.Fprintf(&sum, " %s %+.2f", parts[p.Kind], p.Points)
	}
	lines = append(lines, sum.String()+" points from the target.")
	if f.Unconfirmed != nil {
		if !told {
			lines = append(lines, "  "+unconfirmed(f))
		}
		lines = append(lines, fmt.Sprintf("  The chance that its last reading was written wrongly is %s.",
			percent(f.Unconfirmed.MistakeProbability)))
	}
	return lines
}

// parts are the names of what an expected CO2 is made of.
var parts = map[analysis.PartKind]string{
	analysis.PartLast:      "last reading, off target",
	analysis.PartAnalyzer:  "its analyzer's bias",
	analysis.PartSmoothing: "its noise (from earlier readings)",
	analysis.PartDrift:     "drift of units like it since",
	analysis.PartSlope:     "the unit's own slope since",
	analysis.PartAir:       "air temperature since",
	analysis.PartAirSteps:  "air temperature and level steps since",
	analysis.PartFleet:     "pulled towards where the burners of this fleet are found",
	analysis.PartDisplay:   "coarse steps of the display",
	analysis.PartHeld:      "kept below what the fuel can make",
}

// PartSaid is a part of an expected CO2 in words, with its points.
type PartSaid struct {
	Words  string
	Points float64
}

// Signed writes the points with a true minus.
func (p PartSaid) Signed() string {
	if math.Round(100*p.Points) == 0 {
		return "0.00"
	}
	return strings.Replace(fmt.Sprintf("%+.2f", p.Points), "-", "−", 1)
}

// PartsOf are the parts that the expected CO2 of a fire is made of; none without a
// forecast.
func PartsOf(f *watch.FireLine) (all []PartSaid) {
	if f.Forecast == nil {
		return nil
	}
	for _, p := range f.Forecast.Parts {
		all = append(all, PartSaid{Capital(parts[p.Kind]), p.Points})
	}
	return all
}

// Leaving says when a fire is expected to leave its action band; "" where nobody asked
// or can say.
func Leaving(f *analysis.FireForecast) string {
	from, to := f.FirstOutsideFrom, f.FirstOutsideTo
	switch f.FirstOutside {
	case "":
		return ""
	case analysis.LeavingAlready:
		return "already"
	case analysis.LeavingNot:
		return "not within five years"
	}
	switch passed := from <= f.Today.Day; {
	case passed && to == day.None:
		return "any time from now"
	case passed:
		return "before " + monthOf(to)
	case to == day.None:
		return "after " + monthOf(from)
	case monthOf(from) == monthOf(to):
		return "in " + monthOf(to)
	case from.Time().Year() == to.Time().Year():
		return "between " + from.Time().Month().String() + " and " + monthOf(to)
	}
	return "between " + monthOf(from) + " and " + monthOf(to)
}

// monthOf writes the month of a day, as "March 2027".
func monthOf(d day.Day) string { return d.Time().Format("January 2006") }

// chances says how likely a fire is out of limits today, on its planned day and at
// worst before it, and when it is expected to leave them. A day that is the as-of
// day is said once.
func chances(f *analysis.FireForecast) string {
	w := fmt.Sprintf("%s likely out of limits today (rich %s, lean %s)", percent(f.Today.Out()), percent(f.Today.Rich), percent(f.Today.Lean))
	switch planned := fmt.Sprintf(", %s on its planned day %s", percent(f.Planned.Out()), Day(f.Planned.Day)); {
	case f.Planned.Day <= f.Today.Day:
	case f.Worst.Day == f.Today.Day:
		w += ", its worst day before the planned visit" + planned
	default:
		w += planned + fmt.Sprintf(", %s at worst before its planned visit (%s)", percent(f.Worst.Out()), Day(f.Worst.Day))
	}
	if leaving := Leaving(f); leaving != "" {
		w += "; expected out of limits: " + leaving
	}
	return w + "."
}
