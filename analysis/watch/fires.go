package watch

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// FireLine is what the records say about one fire of a unit: its newest gas
// values beside the target in force on the as-of day, and its newest CO.
type FireLine struct {
	Fire             judge.Fire
	RatePercent      float64        // of a point, else NaN
	Reading          *judge.Reading // newest with CO2 or O2; nil where there is none
	CO2Percent       float64        // of that reading, converted from O2 where need be
	Target           judge.Target   // in force on the as-of day
	TargetCO2Percent float64        // converted where declared in O2
	Bands            BandSpan       // that target with its bands as CO2; its days are not set
	Points           float64        // reading against target, points of the target's gas, positive towards rich
	BeyondPoints     float64        // beyond the setting band; 0 inside, NaN not known
	Side             Side           // where it stands outside the setting band
	LeftFar          bool           // an as left so many bands off that the record comes first (judge.Rules.FarBands)
	Derived          bool           // the reading was converted to the target's gas
	SetNotRecorded   bool           // adjusted since the newest value, and what was left is not recorded
	OtherFuel        bool           // the newest value was read on another fuel than today's
	CO               CO
	COOlder          bool           // the newest reading of this fire has no CO that can be judged; it is that of one before
	COLeast          bool           // the newest CO of this fire is only the least it can be, because no gas goes with it
	COTrend          *judge.COTrend // over the visits; nil without any CO
	COMissing        bool           // the last test of the fire recorded no CO
	COSettled        bool           // a full test has found CO low at every fire since the last CO at this point
	Forecast         *analysis.FireForecast
	asFound, asLeft  int // readings by condition
}

// FireAt is a fire; a point has a rate, the others NaN.
type FireAt struct {
	Fire        judge.Fire
	RatePercent float64
}

// same reports whether two are one fire, at one rate to the digit.
func (a FireAt) same(b FireAt) bool {
	if a.Fire != judge.Point {
		return a.Fire == b.Fire
	}
	none := math.IsNaN(a.RatePercent) && math.IsNaN(b.RatePercent)
	return a.Fire == b.Fire && (a.RatePercent == b.RatePercent || none)
}

// compare orders fires of one unit by name, then by rate.
func (a FireAt) compare(b FireAt) int {
	return cmp.Or(cmp.Compare(a.Fire, b.Fire), cmp.Compare(a.RatePercent, b.RatePercent))
}

// Two points whose rates differ by no more than this are one: technicians do
// not stop at exactly the same rate twice (common practice, no source).
const sameRatePoints = 5

// sameFire reports whether a fire and rate are those of another; only points
// are told apart by their rate.
func sameFire(fireA judge.Fire, rateA float64, fireB judge.Fire, rateB float64) bool {
	if fireA != fireB {
		return false
	}
	if fireA != judge.Point || (math.IsNaN(rateA) && math.IsNaN(rateB)) {
		return true
	}
	return math.Abs(rateA-rateB) <= sameRatePoints
}

// isFactory reports whether a reading comes from a factory test, which says
// how a unit was sent out and nothing about how it stands on its own vent.
func isFactory(h *judge.History, r *judge.Reading) bool {
	return r.Visit >= 0 && r.Visit < len(h.Visits) && h.Visits[r.Visit].Reason == judge.FactoryTest
}

// earlierInstallDays is how long before the install day a reading belongs to
// the boiler that had the serial before. Nearer to it, the install day is
// likelier to be recorded late; the warehouse draws the same line.
const earlierInstallDays = 90

// ofEarlierInstall reports whether a day lies before the unit that has the
// serial now, or before the same one was taken out and installed again.
func ofEarlierInstall(h *judge.History, d day.Day) bool {
	return h.Unit.BeforeRemoval(d) || h.Unit.Installed != day.None && d < h.Unit.Installed-earlierInstallDays
}

// fieldReadings calls fn with every reading made in the field up to the as-of
// day, in order, that is of the unit and not of an earlier one with its serial:
// that one's test does not count for this one, nor does its CO.
func fieldReadings(h *judge.History, asOf day.Day, fn func(*judge.Reading)) {
	for i := range h.Readings {
		r := &h.Readings[i]
		if r.Day <= asOf && !isFactory(h, r) && !ofEarlierInstall(h, r.Day) {
			fn(r)
		}
	}
}

// fireLines gathers the fires of a unit, high before middle before low before single before
// points from the highest rate down. A fire nobody has read is not among them
// as long as another has been: the mark "one fire only" tells. A unit without
// any reading has the fires that targets are declared for.
func fireLines(h *judge.History, rules Config) []FireLine {
	var lines []FireLine
	fieldReadings(h, rules.AsOf, func(r *judge.Reading) {
		i := slices.IndexFunc(lines, func(l FireLine) bool { return sameFire(l.Fire, l.RatePercent, r.Fire, r.RatePercent) })
		if i < 0 {
			lines = append(lines, newFireLine(r.Fire))
			i = len(lines) - 1
		}
		lines[i].take(r, h, rules)
	})
	if len(lines) == 0 {
		for _, t := range h.Targets {
			lines = append(lines, newFireLine(t.Fire))
		}
	}
	for i := range lines {
		lines[i].settle(h, rules)
		lines[i].settleCO(h, lines, rules)
	}
	sort.SliceStable(lines, func(i, j int) bool { return fireBefore(lines[i], lines[j]) })
	return lines
}

// newFireLine returns a fire about which nothing is known.
func newFireLine(fire judge.Fire) FireLine {
	nan := math.NaN()
	return FireLine{
		Fire: fire, RatePercent: nan, CO2Percent: nan, TargetCO2Percent: nan, Points: nan, BeyondPoints: nan,
		CO: CO{AirFreePPM: nan, Day: day.None},
	}
}

var fireRank = map[judge.Fire]int{judge.High: 0, judge.Middle: 1, judge.Low: 2, judge.Single: 3, judge.Point: 4}

func fireBefore(a, b FireLine) bool {
	if ra, rb := fireRank[a.Fire], fireRank[b.Fire]; ra != rb {
		return ra < rb
	}
	return a.RatePercent > b.RatePercent // false where either is unknown: the order read stays
}

// take makes a later reading the newest of its fire, for gas and CO apart. A gas read
// before the unit moved says nothing of its setting now; a CO stays until a test
// finds it low.
func (l *FireLine) take(r *judge.Reading, h *judge.History, rules Config) {
	if r.Fire == judge.Point {
		l.RatePercent = r.RatePercent
	}
	switch r.Condition {
	case judge.AsFound:
		l.asFound++
	case judge.AsLeft:
		l.asLeft++
	}
	if hasGas(r) && !rules.Judge.PerhapsNoBurner(r) && !h.Elsewhere(r.Day, rules.AsOf) {
		l.Reading = r
		if tied := h.Tied(r); tied != nil {
			l.Reading = rules.Judge.MeanFound(tied)
		}
	}
	co := coOf(r, rules)
	if rules.Judge.PerhapsNoBurner(r) {
		co.Level = COUnknown // openUnusedCO has it
	}
	if !math.IsNaN(co.AirFreePPM) && !co.NoBurner || co.Level != COUnknown {
		l.COLeast = co.AtLeast && !co.Over && !co.NoBurner
	}
	shows := co.Level != COUnknown && !(co.floor && co.Level < l.CO.Level) // at least 150 is not less than an older 500
	if shows {
		l.CO = co
		l.COOlder = false
		return
	}
	l.COOlder = l.CO.Level != COUnknown
}

// settle compares the newest reading with the target in force.
func (l *FireLine) settle(h *judge.History, rules Config) {
	l.Target = targetFor(h, l)
	l.Bands = bandSpan(&l.Target, h.Unit.Fuel, rules)
	l.TargetCO2Percent = l.Bands.Target
	if l.Reading == nil {
		return
	}
	r := l.Reading
	l.CO2Percent = rules.Judge.CO2(r)
	l.OtherFuel = r.Fuel != "" && r.Fuel != h.Unit.Fuel
	l.SetNotRecorded = setNotRecorded(h, l.Fire, r, rules.AsOf)
	if l.OtherFuel {
		return
	}
	c := compare(r, l.Target, rules.fuel(h.Unit.Fuel))
	l.Points, l.BeyondPoints, l.Side, l.Derived = c.Points, c.Beyond, c.Side, c.Derived
	l.lowRich(h, rules)
	l.LeftFar = r.Condition == judge.AsLeft && c.Beyond > 0 && l.bandWidths() > rules.Judge.FarBands+rounding
}

// targetFor returns the target in force at a fire on the as-of day; where the
// history names none for that fire, the one in force when it was last read.
func targetFor(h *judge.History, l *FireLine) judge.Target {
	for _, t := range h.Targets {
		if t.Fire == l.Fire && HasTarget(t.Target) {
			return t.Target
		}
	}
	if l.Reading != nil && HasTarget(l.Reading.Target) && l.Reading.Fuel == h.Unit.Fuel {
		return l.Reading.Target
	}
	return judge.Target{}
}

// setNotRecorded reports whether a fire was adjusted after its newest reading
// without a record of what was left.
func setNotRecorded(h *judge.History, fire judge.Fire, r *judge.Reading, asOf day.Day) bool {
	if r.Condition != judge.AsLeft && r.Visit >= 0 && r.Visit < len(h.Visits) && h.Visits[r.Visit].Adjusted(fire) == judge.Yes {
		return true
	}
	for i := r.Visit + 1; i >= 0 && i < len(h.Visits); i++ {
		v := &h.Visits[i]
		if v.Day <= asOf && v.Day >= r.Day && v.Reason != judge.FactoryTest && v.Adjusted(fire) == judge.Yes {
			return true
		}
	}
	return false
}

// read reports whether anything was read at a fire in the field.
func (f *FireLine) read() bool {
	return f.Reading != nil || f.CO.Level != COUnknown || f.COSettled
}

// bandWidths returns a deviation in widths of its side of the setting band.
func (f *FireLine) bandWidths() float64 {
	width := f.Target.SetRich
	if f.Side == Lean {
		width = f.Target.SetLean
	}
	if width > 0 {
		return math.Abs(f.Points) / width
	}
	return math.Inf(1)
}

// AtWorst is the CO2 expected at a fire on its worst day before the planned visit, where
// it is likelier out of limits than not only then; NaN elsewhere.
func (f *FireLine) AtWorst() float64 {
	p := f.Forecast
	if p == nil || p.Today.Out() >= analysis.OutProbability || !(p.Worst.Out() >= analysis.OutProbability) {
		return math.NaN()
	}
	for i, at := range p.Path {
		if at.Day >= p.Worst.Day || i == len(p.Path)-1 {
			return at.CO2Percent
		}
	}
	return math.NaN()
}

// displayedAlone reports whether a fire stands off its target by the display of an
// analyzer that is suspect, and not whichever analyzer is right.
func (l *FireLine) displayedAlone() bool {
	return l.Forecast != nil && l.Forecast.Suspect != nil && l.Forecast.Suspect.Verdict != analysis.OutEitherWay
}
