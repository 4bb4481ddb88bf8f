package watch

import (
	"fmt"
	"math"

	"fluedrift/model/judge"
)

const yearDays = 365.25

// on is the bias of a day with its standard deviation. NaN where the records do not
// tell, and where only a difference of two instruments is known and no certificate
// says which of them is off.
func (l *AnalyzerLine) on(day int32) (points, sd float64) {
	if !l.Known || (l.Step != nil || l.StepOf != "") && !l.Certified {
		return math.NaN(), math.NaN()
	}
	if l.Calibrated == judge.NoDay {
		return l.Reads.At(0)
	}
	return l.Reads.At(float64(day-l.Calibrated) / yearDays)
}

// ofNewestDay sets the bias of the newest day of the period: the as-of day, or the
// last before its analyzer was calibrated again.
func (l *AnalyzerLine) ofNewestDay(asOf int32) {
	l.Day = asOf
	if l.Until != judge.NoDay {
		l.Day = l.Until - 1
	}
	l.BiasPoints, l.SDPoints = l.on(l.Day)
	l.LowPoints, l.HighPoints = l.BiasPoints-z90*l.SDPoints, l.BiasPoints+z90*l.SDPoints
}

// describe says in words what is known of an analyzer.
func (l *AnalyzerLine) describe() {
	switch {
	case l.Step != nil:
		l.Words = l.stepWords()
	case l.StepOf != "":
		l.Words = fmt.Sprintf("%s stands far off it: compare both instruments", l.StepOf)
	case !l.Known:
		l.Words = "never compared with another: nothing is known of what it reads"
	case math.IsNaN(l.BiasPoints):
	case l.LowPoints < 0 && l.HighPoints > 0:
		l.Words = fmt.Sprintf("no difference to the others can be seen (%s to %s)", signed(l.LowPoints), signed(l.HighPoints))
	default:
		low, high := math.Abs(l.LowPoints), math.Abs(l.HighPoints)
		l.Words = fmt.Sprintf("reads %.2f %s the others (%.2f to %.2f)", math.Abs(l.BiasPoints), aboveOrBelow(l.BiasPoints), math.Min(low, high), math.Max(low, high))
	}
	if l.Units > 0 {
		l.Words += fmt.Sprintf("; %s it to others", links(l.Units))
	}
}

// links says how many units link an analyzer to others.
func links(n int) string {
	if n == 1 {
		return "1 unit links"
	}
	return fmt.Sprintf("%d units link", n)
}

// stepWords are those of a difference of two instruments.
func (l *AnalyzerLine) stepWords() string {
	s := l.Step
	low, high := math.Abs(s.Low), math.Abs(s.High)
	when := "before"
	if s.After {
		when = "after"
	}
	words := fmt.Sprintf("%s reads %.2f %s what read these units %s (%.2f to %.2f), since %s", l.Name, math.Abs(s.Points), aboveOrBelow(s.Points), when,
		math.Min(low, high), math.Max(low, high), date(s.Since).Format("January 2006"))
	if l.UnitsSet > 0 {
		words += fmt.Sprintf("; %s set with it since", count(l.UnitsSet, "unit"))
	}
	return words + "; compare both instruments"
}

// Ageing is how an analyzer's reading changes between calibrations, points of CO2 a
// year, with its 90 % interval; NaN where it follows no calibration on record.
func (l *AnalyzerLine) Ageing() (slope, low, high float64) {
	sd := math.Sqrt(l.Reads.SlopeVar)
	if l.Calibrated == judge.NoDay || sd == 0 {
		nan := math.NaN()
		return nan, nan, nan
	}
	return l.Reads.Slope, l.Reads.Slope - z90*sd, l.Reads.Slope + z90*sd
}

// AgeingWords say, once a fire, what calibrations put right.
func AgeingWords(lines []AnalyzerLine) (words []string) {
	for _, fire := range []string{judge.High, judge.Low} {
		for i := range lines {
			slope, low, high := lines[i].Ageing()
			if lines[i].Fire != fire || math.IsNaN(slope) {
				continue
			}
			between := "between calibrations"
			switch {
			case low > 0 || high < 0:
				what := map[bool]string{true: "lose", false: "gain"}[high < 0]
				words = append(words, fmt.Sprintf("%s fire: analyzers %s %.2f points of CO2 a year %s (%.2f to %.2f).", upper(fire), what, math.Abs(slope), between, math.Min(math.Abs(low), math.Abs(high)), math.Max(math.Abs(low), math.Abs(high))))
			case slope == 0:
				words = append(words, fmt.Sprintf("%s fire: whether analyzers age %s cannot be told from these records; intervals allow for ±%.2f points of CO2 a year.", upper(fire), between, high/z90))
			default:
				words = append(words, fmt.Sprintf("%s fire: no ageing of analyzers %s can be seen (%s to %s points of CO2 a year).", upper(fire), between, signed(low), signed(high)))
			}
			break
		}
	}
	return words
}

// signed writes points with their sign; what rounds to nothing has none.
func signed(v float64) string {
	if math.Abs(v) < 0.005 {
		return "0.00"
	}
	return fmt.Sprintf("%+.2f", v)
}
