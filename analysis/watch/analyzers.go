package watch

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// AnalyzerBias is how much an analyzer reads above the others at one fire,
// within one calibration period, as the fleet's fit has it.
type AnalyzerBias struct {
	Fire       judge.Fire // high (the only fire included) or low
	Name       string     // of the analyzer, or of the technician who stands for it
	StandIn    bool
	Calibrated day.Day // first day of the period; day.None: a calendar year
	Year       int
	Reads      drift.Line // points of CO2 by the years since the calibration
	Links      int        // comparisons with other analyzers behind it
	Units      int        // that link it with other analyzers
	Known      bool       // the records say something of it
	Certified  bool       // the calibration that ended the period wrote down an error that is in it
	Step       *BiasStep  // it stands far off what read its units before
	StepOf     string     // the analyzer that stands far off this one
}

// BiasStep is the difference between an analyzer and what read the same units before
// it, points of CO2: nobody knows which of the two is off.
type BiasStep struct {
	Points, Low, High float64
	Since             day.Day // day of the first of its readings
	After             bool    // against what read them after it
}

// Certificate is one calibration of an analyzer.
type Certificate struct {
	Analyzer         string
	Day              day.Day
	FoundErrorPoints float64 // what it read too high before it was set right; NaN not recorded
}

// AnalyzerLine is one analyzer at one fire in one calibration period.
type AnalyzerLine struct {
	AnalyzerBias
	Day                    day.Day             // the bias is of this day: the newest of the period
	BiasPoints, SDPoints   float64             // on that day, with the posterior standard deviation; NaN not known at a single instrument
	LowPoints, HighPoints  float64             // 90 % interval
	Until                  day.Day             // first day of the next period; day.None: the newest
	CertificateErrorPoints float64             // found at the calibration that ended the period
	UnitsSet               int                 // whose newest as left was read with it in this period
	MisSet                 float64             // of them, expected to stand outside the setting band for its bias
	DaysSinceCalibration   int32               // of the newest period, -1 otherwise or unknown
	Newest                 bool                // its analyzer's newest period
	SideOfUnits            Side                // where its bias leaves units
	OtherFuel              []judge.OtherFuelAt // units at which it was set to another fuel than registered; or the register is wrong
}

// Z90 is the normal quantile of a two-sided 90 % interval.
const Z90 = 1.6448536269514722

// Analyzers puts the analyzers of a fleet in order: those that may have left
// most units outside their setting band first, by the number of units their
// newest setting of which was read with them. A bias is how far an analyzer
// stands off the others, not off the truth: where all read alike wrong, nobody
// can tell.
func Analyzers(biases []AnalyzerBias, certificates []Certificate, histories []*judge.History, r Config) []AnalyzerLine {
	lines := make([]AnalyzerLine, len(biases))
	index := map[periodKey]int{}
	for i, b := range biases {
		lines[i] = AnalyzerLine{AnalyzerBias: b, Until: day.None, CertificateErrorPoints: math.NaN(), DaysSinceCalibration: -1}
		index[keyOf(b)] = i
	}
	newest := addCertificates(lines, certificates, r)
	for i := range lines {
		lines[i].ofNewestDay(r.AsOf)
	}
	countSettings(lines, index, histories, r)
	addSettings(lines, histories, r)
	for i := range lines {
		lines[i].Newest = newest[i]
		lines[i].leaves()
	}
	slices.SortFunc(lines, compareAnalyzers)
	return lines
}

// compareAnalyzers orders by expected units mis-set in tenths, then units set,
// then name, fire and period.
func compareAnalyzers(a, b AnalyzerLine) int {
	return cmp.Or(
		cmp.Compare(math.Round(10*b.MisSet), math.Round(10*a.MisSet)),
		cmp.Compare(b.UnitsSet, a.UnitsSet),
		strings.Compare(a.Name, b.Name), cmp.Compare(a.Fire, b.Fire),
		cmp.Compare(b.Calibrated, a.Calibrated), cmp.Compare(b.Year, a.Year))
}

// periodKey tells periods apart.
type periodKey struct {
	fire       judge.Fire
	name       string
	standIn    bool
	calibrated day.Day
	year       int
}

func keyOf(b AnalyzerBias) periodKey {
	return periodKey{b.Fire, b.Name, b.StandIn, b.Calibrated, b.Year}
}

// instrumentKey finds the period a reading was made in.
func instrumentKey(h *judge.History, x *judge.Reading) periodKey {
	v := &h.Visits[x.Visit]
	k := periodKey{fire: judge.High, name: x.Analyzer, calibrated: x.Calibrated}
	if x.Fire == judge.Low {
		k.fire = judge.Low
	}
	switch {
	case k.name == "" && v.Analyzer != "":
		k.name = v.Analyzer
	case k.name == "" && v.Technician != "":
		k.name, k.standIn = v.Source+"/"+v.Technician, true
	}
	if k.calibrated == day.None {
		k.year = x.Day.Time().Year()
	}
	return k
}

// countSettings finds by which analyzer each fire of each unit was last set.
func countSettings(lines []AnalyzerLine, index map[periodKey]int, histories []*judge.History, r Config) {
	for _, h := range histories {
		if h.Unit.State == judge.Removed {
			continue
		}
		last := map[judge.Fire]*judge.Reading{}
		fieldReadings(h, r.AsOf, func(x *judge.Reading) {
			if x.Condition == judge.AsLeft && hasGas(x) && x.Fire != judge.Point && !r.Judge.NoBurner(x) {
				last[x.Fire] = x
			}
		})
		for _, x := range last {
			i, ok := index[instrumentKey(h, x)]
			if !ok {
				continue
			}
			lines[i].UnitsSet++
			lines[i].MisSet += lines[i].misSets(x.Day, r.Judge.Setting(&x.Target, x.Fuel))
		}
	}
}

// misSets is the probability that the bias of a day alone puts a burner set on
// target outside a setting band: an analyzer that reads high leaves it lean.
func (l *AnalyzerLine) misSets(day day.Day, band judge.Band) float64 {
	bias, sd := l.on(day)
	if !(sd > 0) {
		return 0
	}
	p := 0.0
	if !math.IsNaN(band.Lean) {
		p += upperTail((-band.Lean - bias) / sd)
	}
	if !math.IsNaN(band.Rich) {
		p += upperTail((band.Rich + bias) / sd)
	}
	return p
}

// upperTail is the standard normal probability of more than z.
func upperTail(z float64) float64 { return math.Erfc(z/math.Sqrt2) / 2 }

// addCertificates sets the end of each period and what the calibration there
// found, and returns which lines are of an analyzer's newest period.
func addCertificates(lines []AnalyzerLine, certificates []Certificate, r Config) []bool {
	byName := map[string][]Certificate{}
	for _, c := range certificates {
		if c.Day <= r.AsOf {
			byName[c.Analyzer] = append(byName[c.Analyzer], c)
		}
	}
	newest := make([]bool, len(lines))
	for i := range lines {
		l := &lines[i]
		all := byName[l.Name]
		if l.StandIn || l.Calibrated == day.None {
			newest[i] = l.Year == r.AsOf.Time().Year() || l.Year == r.AsOf.Time().Year()-1
			continue
		}
		slices.SortFunc(all, func(a, b Certificate) int { return cmp.Compare(a.Day, b.Day) })
		for _, c := range all {
			if c.Day > l.Calibrated {
				l.Until, l.CertificateErrorPoints = c.Day, c.FoundErrorPoints
				break
			}
		}
		if l.Until == day.None {
			newest[i], l.DaysSinceCalibration = true, int32(r.AsOf-l.Calibrated)
		}
	}
	return newest
}

// calibrationYear is how long a calibration is taken to hold (common practice,
// no source).
const calibrationYear = 366

// DueByAge reports whether the last calibration of an analyzer is over a year ago.
func (l *AnalyzerLine) DueByAge() bool { return l.Newest && l.DaysSinceCalibration > calibrationYear }

// leaves says on which side of their targets a bias leaves units.
func (l *AnalyzerLine) leaves() {
	switch {
	case l.BiasPoints > 0:
		l.SideOfUnits = Lean
	case l.BiasPoints < 0:
		l.SideOfUnits = Rich
	}
}

// StandsOff reports whether an analyzer's newest period stands off the others
// for sure, by enough to leave a unit, and half of all that were set by it,
// outside the setting band.
func (l *AnalyzerLine) StandsOff() bool {
	sure := l.LowPoints > 0 || l.HighPoints < 0
	return l.Until == day.None && !l.StandIn && sure && l.MisSet >= 1 && l.MisSet >= 0.5*float64(l.UnitsSet)
}

// Suspects returns the names of the analyzers that stand off.
func Suspects(lines []AnalyzerLine) map[string]bool {
	doubted := map[string]bool{}
	for i := range lines {
		if lines[i].StandsOff() {
			doubted[lines[i].Name] = true
		}
	}
	return doubted
}
