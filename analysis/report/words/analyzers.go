package words

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// AnalyzerReads says what is known of how an analyzer reads.
func AnalyzerReads(l *watch.AnalyzerLine) string {
	var w string
	switch {
	case l.Step != nil:
		w = stepOf(l)
	case l.StepOf != "":
		w = fmt.Sprintf("%s reads far from it: compare the two instruments", l.StepOf)
	case !l.Known:
		w = "never compared with another analyzer: nobody knows whether it reads right"
	case math.IsNaN(l.BiasPoints):
	case l.LowPoints < 0 && l.HighPoints > 0:
		w = fmt.Sprintf("no visible difference from the others (%s to %s)", signed(l.LowPoints), signed(l.HighPoints))
	default:
		least, most := sizes(l.LowPoints, l.HighPoints)
		w = fmt.Sprintf("reads %.2f %s the others (%.2f to %.2f)", math.Abs(l.BiasPoints), aboveOrBelow(l.BiasPoints), least, most)
	}
	switch {
	case l.Units == 1:
		w += "; 1 unit links it to others"
	case l.Units > 0:
		w += fmt.Sprintf("; %d units link it to others", l.Units)
	}
	return w
}

// stepOf says what is known of a difference of two instruments.
func stepOf(l *watch.AnalyzerLine) string {
	s, when := l.Step, "before"
	if s.After {
		when = "after"
	}
	least, most := sizes(s.Low, s.High)
	w := fmt.Sprintf("%s reads %.2f %s what read these units %s (%.2f to %.2f), since %s", l.Name, math.Abs(s.Points),
		aboveOrBelow(s.Points), when, least, most, monthOf(s.Since))
	if l.UnitsSet > 0 {
		w += fmt.Sprintf("; %s set with it since", Units(l.UnitsSet))
	}
	return w + "; compare the two instruments"
}

// sizes are the ends of an interval without their signs, the smaller first.
func sizes(low, high float64) (least, most float64) {
	low, high = math.Abs(low), math.Abs(high)
	return math.Min(low, high), math.Max(low, high)
}

// signed writes points with their sign; what rounds to nothing has none.
func signed(v float64) string {
	if math.Abs(v) < 0.005 {
		return "0.00"
	}
	return fmt.Sprintf("%+.2f", v)
}

// AnalyzerDue says why an analyzer should be checked; "" where it need not be. What a
// period that is over did to units is for the units' own checks.
func AnalyzerDue(l *watch.AnalyzerLine) string {
	var why []string
	if l.Step != nil && l.Newest {
		why = append(why, "compare it with the analyzer before it")
	}
	if n := int(math.Round(l.MisSet)); n >= 1 {
		when := ""
		if !l.Newest {
			when = " before its next calibration"
		}
		why = append(why, fmt.Sprintf("may have left %s outside the setting band%s, %s", Units(n), when, l.SideOfUnits))
	}
	if l.DueByAge() {
		why = append(why, "last calibrated "+span(l.DaysSinceCalibration)+" ago")
	}
	return strings.Join(why, "; ")
}

// Period says what a period of an analyzer covers.
func Period(l *watch.AnalyzerLine) string {
	if l.Calibrated == day.None {
		return fmt.Sprintf("%d, no calibration on record", l.Year)
	}
	w := "from " + ISODay(l.Calibrated)
	if l.Until != day.None {
		w += " to " + ISODay(l.Until)
	}
	return w
}

// OtherFuel names the units and visits at which an analyzer was set to another fuel
// than registered.
func OtherFuel(l *watch.AnalyzerLine) string {
	units := make([]string, len(l.OtherFuel))
	for i, o := range l.OtherFuel {
		units[i] = fmt.Sprintf("%s on %s: set to %s, registered as %s", o.Serial, Day(o.Day), o.SetTo, o.Registered)
		if o.Set {
			units[i] += ", burner set by it"
		}
		if !o.Newest {
			units[i] += ", read since"
		}
	}
	return strings.Join(units, "; ")
}

// Ageing says, once a fire, what calibrations put right.
func Ageing(lines []watch.AnalyzerLine) (said []string) {
	for _, fire := range []judge.Fire{judge.High, judge.Low} {
		for i := range lines {
			if slope, _, _ := lines[i].Ageing(); lines[i].Fire != fire || math.IsNaN(slope) {
				continue
			}
			said = append(said, ageing(&lines[i]))
			break
		}
	}
	return said
}

func ageing(l *watch.AnalyzerLine) string {
	const between = "between calibrations"
	slope, low, high := l.Ageing()
	fire := Capital(string(l.Fire))
	switch {
	case low > 0 || high < 0:
		what := map[bool]string{true: "lose", false: "gain"}[high < 0]
		least, most := sizes(low, high)
		return fmt.Sprintf("%s fire: analyzers %s %.2f points of CO2 a year %s (%.2f to %.2f).",
			fire, what, math.Abs(slope), between, least, most)
	case slope == 0:
		return fmt.Sprintf("%s fire: whether analyzers age %s cannot be told from these records; "+
			"intervals allow for ±%.2f points of CO2 a year.",
			fire, between, high/watch.Z90)
	}
	return fmt.Sprintf("%s fire: no ageing of analyzers %s can be seen (%s to %s points of CO2 a year).",
		fire, between, signed(low), signed(high))
}
