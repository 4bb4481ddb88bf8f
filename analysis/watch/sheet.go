package watch

import (
	"math"
	"strings"

	"fluedrift/model/judge"
)

// Sheet is what goes to a unit on paper: what it should be set to and by whom
// that is said, how it was last found and left, and what is known of its gas
// and vent.
type Sheet struct {
	Serial string
	Head   []string
	Rule   string // what comes before anything else, in the box
	Danger bool   // the rule is to take the unit out of service: nothing is read or adjusted before
	Line   *Line
	Check  []string // what to look at first
	Fires  []SheetFire
	Facts  []Fact
}

// SheetFire is one fire on the sheet.
type SheetFire struct {
	Label          string
	Target, Origin string
	Found, Left    string // newest as found and as left, in words; "not on record"
	Gas            string // newest pressures, fan speed and flame signal
	Expected       string
}

// Fact is a name and what is known under it.
type Fact struct{ Name, Words string }

// SheetOf puts a unit's sheet together. Carry is what travels along from the
// register, in the order wanted.
func SheetOf(h *judge.History, l *Line, r Rules, carry []Fact) Sheet {
	s := Sheet{Serial: h.Unit.Serial, Head: headOf(h, r), Rule: sheetRule(l), Danger: l.Tier == COUrgentNow, Line: l}
	for _, c := range l.CheckFirst {
		s.Check = append(s.Check, c.Do)
	}
	for i := range l.Fires {
		s.Fires = append(s.Fires, sheetFire(h, &l.Fires[i], r))
	}
	s.Facts = append(s.Facts, Fact{"Last full test", fullTestWords(l, r)}, Fact{"Parts since", partsWords(h, l.LastFullTest, r.AsOf)})
	if l.CO.Level != COUnknown {
		s.Facts = append(s.Facts, Fact{"CO", l.CO.Words + " at " + l.COFire + " on " + DayWords(l.CO.Day)})
	}
	s.Facts = append(s.Facts, carry...)
	return s
}

// sheetRule says what comes before anything else: where CO is urgent, that the
// unit goes out of service; else which fires are read as found.
func sheetRule(l *Line) string {
	if l.Tier == COUrgentNow {
		return "First take the unit out of service as its instructions say. Read and adjust nothing before that."
	}
	fires := "high and low fire"
	switch n := len(l.Fires); {
	case n == 1 && l.Fires[0].Fire == judge.Single:
		fires = "the single fire"
	case n > 0 && l.Fires[n-1].Fire == judge.Point:
		fires = "every point"
	}
	return "Record " + fires + " as found before adjusting anything."
}

func fullTestWords(l *Line, r Rules) string {
	switch {
	case l.SinceMove:
		return "none since it moved; due by " + DayWords(l.PlannedDay)
	case l.NeverTested:
		return "none " + r.onRecord() + "; due by " + DayWords(l.PlannedDay)
	}
	return DayWords(l.LastFullTest) + "; next planned for " + DayWords(l.PlannedDay)
}

// partsWords lists the parts recorded since the last full test.
func partsWords(h *judge.History, since, asOf int32) string {
	var parts []string
	for i := range h.Visits {
		if v := &h.Visits[i]; v.Parts != "" && v.Day >= since && v.Day <= asOf {
			parts = append(parts, v.Parts+" on "+DayWords(v.Day))
		}
	}
	if len(parts) == 0 {
		return "none on record"
	}
	return strings.Join(parts, "; ")
}

func sheetFire(h *judge.History, f *FireLine, r Rules) SheetFire {
	out := SheetFire{Label: f.Label(), Target: TargetWords(f.Target), Origin: f.Target.Origin, Found: "not on record", Left: "not on record", Gas: "not on record"}
	fieldReadings(h, r.AsOf, func(x *judge.Reading) {
		if !sameFire(x.Fire, x.RatePercent, f.Fire, f.RatePercent) {
			return
		}
		words := readingWords(x, r)
		switch {
		case !hasGas(x) || h.Elsewhere(x.Day, r.AsOf):
		case x.Condition == judge.AsFound:
			if tied := h.Tied(x); tied != nil && tied[0] != x {
				words = out.Found + "; or " + words
			}
			out.Found = words
		case x.Condition == judge.AsLeft:
			out.Left = words
		}
		if g := settingWords(x); g != "" {
			out.Gas = g + " on " + DayWords(x.Day)
		}
	})
	if p := f.Forecast; p != nil && !math.IsNaN(p.CO2Percent) {
		out.Expected = number(p.CO2Percent, 1) + " % CO2 (" + number(p.LowPercent, 1) + " to " + number(p.HighPercent, 1) + ")"
	}
	return out
}

// readingWords puts one reading on one line.
func readingWords(x *judge.Reading, r Rules) string {
	w := GasWords(x)
	if !math.IsNaN(x.CO2Percent) && !math.IsNaN(x.O2Percent) {
		w += ", " + number(x.O2Percent, decimalsOf(x.O2Decimals)) + " % O2"
	}
	if co := coOf(x, r); co.Level != COUnknown {
		w += ", " + co.Words
	}
	if !math.IsNaN(x.FlueTempC) {
		w += ", flue " + number(x.FlueTempC, 0) + " C"
	}
	w += " on " + DayWords(x.Day)
	if x.Analyzer != "" {
		w += ", analyzer " + x.Analyzer
	}
	return w
}

// settingWords names gas pressures, fan speed, flame signal and draft.
func settingWords(x *judge.Reading) string {
	var parts []string
	add := func(v float64, decimals int, name, unit string) {
		if !math.IsNaN(v) {
			parts = append(parts, name+" "+number(v, decimals)+" "+unit)
		}
	}
	add(x.SupplyPa, 0, "supply", "Pa")
	add(x.ManifoldPa, 0, "manifold", "Pa")
	add(x.FanSpeedRPM, 0, "fan", "rpm")
	add(x.FlameSignalUA, 1, "flame signal", "uA")
	add(x.DraftPa, 1, "draft", "Pa")
	return strings.Join(parts, ", ")
}
