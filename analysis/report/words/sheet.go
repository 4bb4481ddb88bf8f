package words

import (
	"math"
	"strings"

	"fluedrift/analysis/report/units"
	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// Sheet is a sheet in words.
type Sheet struct {
	Serial  string
	Site    string // its serial where no site is on record
	About   string // serial, model line and area
	Contact string // whom to call, and the address; "" where the register has none
	Rule    string // what comes before anything else, in the box
	Danger  bool   // the rule is to take the unit out of service: nothing is read or adjusted before
	Why     []string
	Check   []string // what to look at first
	Fires   []SheetFire
	Facts   []watch.Fact
	// Degree is the letter of the unit of temperatures, Pressure the unit of pressures.
	Degree, Pressure string
}

// SheetFire is one fire on the sheet.
type SheetFire struct {
	Label          string
	Target, Origin string
	Found, Left    string // newest as found and as left; "not on record"
	Gas            string // newest pressures, fan speed and flame signal
	Expected       string
	Aim            string // where in the setting band to leave it; empty: at the target
}

const noRecord = "not on record"

// SheetOf puts a sheet in words.
func SheetOf(in units.Set, s *watch.Sheet) Sheet {
	l := s.Line
	out := Sheet{
		Serial: s.Unit.Serial, Site: s.Unit.Site, About: RowAbout(&s.Unit), Contact: ContactOf(&s.Unit).Line(),
		Rule: sheetRule(l), Danger: l.Ground == watch.COUrgentNow,
		Why: Reasons(l), Check: look(l), Degree: in.DegreeLetter(), Pressure: in.UnitOf(units.Pressure),
	}
	for i := range s.Fires {
		f := sheetFire(in, &s.Fires[i])
		if p := s.Fires[i].Fire.Forecast; p != nil {
			f.Aim = aimOn(l, p)
		}
		out.Fires = append(out.Fires, f)
	}
	if out.Site == "" {
		out.Site = out.Serial
	}
	out.Facts = append(out.Facts, watch.Fact{Name: "Boiler", Words: strings.Join(boiler(in, &s.Unit), ", ")},
		watch.Fact{Name: "Standing", Words: strings.Join(aboutSite(in, &s.About), " ")})
	out.Facts = append(out.Facts, watch.Fact{Name: "Last routine visit", Words: lastRoutine(l, s.NotRead)},
		watch.Fact{Name: "Parts since", Words: partsSince(s.Parts)})
	if l.CO.Level != watch.COUnknown {
		out.Facts = append(out.Facts, watch.Fact{Name: "CO", Words: CO(&l.CO) + " at " + COFire(l) + " on " + Day(l.CO.Day)})
	}
	out.Facts = append(out.Facts, s.Carry...)
	return out
}

// sheetRule says what comes before anything else: where CO is urgent, that the
// unit goes out of service; else which fires are read as found.
func sheetRule(l *watch.Line) string {
	if l.Ground == watch.COUrgentNow {
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

func lastRoutine(l *watch.Line, notRead string) string {
	switch {
	case l.SinceMove:
		return "none since it moved; due by " + Day(l.PlannedDay)
	case l.NoRoutine:
		return "none " + onRecord(notRead) + "; due by " + Day(l.PlannedDay)
	}
	return Day(l.LastRoutine) + "; next planned for " + Day(l.PlannedDay)
}

// partsSince lists the parts recorded since the last routine visit.
func partsSince(visits []*judge.Visit) string {
	var parts []string
	for _, v := range visits {
		parts = append(parts, v.Parts+" on "+Day(v.Day))
	}
	if len(parts) == 0 {
		return "none on record"
	}
	return strings.Join(parts, "; ")
}

func sheetFire(in units.Set, s *watch.SheetFire) SheetFire {
	f := s.Fire
	out := SheetFire{Label: fireLine(f), Target: Target(f.Target), Origin: f.Target.Origin, Found: noRecord, Left: noRecord, Gas: noRecord}
	var found []string
	for i := range s.Found {
		found = append(found, reading(in, &s.Found[i]))
	}
	if len(found) > 0 {
		out.Found = strings.Join(found, "; or ")
	}
	if s.Left != nil {
		out.Left = reading(in, s.Left)
	}
	if s.Settings != nil {
		out.Gas = settings(in, s.Settings) + " on " + Day(s.Settings.Day)
	}
	if p := f.Forecast; p != nil && !math.IsNaN(p.CO2Percent) {
		out.Expected = Number(p.CO2Percent, 1) + " % CO2 (" + Number(p.LowPercent, 1) + " to " + Number(p.HighPercent, 1) + ")"
	}
	return out
}

// reading puts one reading on one line.
func reading(in units.Set, x *watch.SheetReading) string {
	w := gas(x.Reading)
	if !math.IsNaN(x.CO2Percent) && !math.IsNaN(x.O2Percent) {
		w += ", " + Number(x.O2Percent, decimalsOf(x.O2Decimals)) + " % O2"
	}
	if x.CO.Level != watch.COUnknown {
		w += ", " + CO(&x.CO)
	}
	if !math.IsNaN(x.FlueTempC) {
		w += ", flue " + in.DegreesOf(x.FlueTempC)
	}
	w += " on " + Day(x.Day)
	if x.Analyzer != "" {
		w += ", analyzer " + x.Analyzer
	}
	return w
}

// settings names gas pressures, fan speed, flame signal and draft.
func settings(in units.Set, x *judge.Reading) string {
	var parts []string
	add := func(v float64, name string, write func(float64) string) {
		if !math.IsNaN(v) {
			parts = append(parts, name+" "+write(v))
		}
	}
	add(x.SupplyPa, "supply", in.PressureOf)
	add(x.ManifoldPa, "manifold", in.PressureOf)
	add(x.FanSpeedRPM, "fan", func(v float64) string { return Number(v, 0) + " rpm" })
	add(x.FlameSignalUA, "flame signal", func(v float64) string { return Number(v, 1) + " uA" })
	add(x.DraftPa, "draft", in.PressureOf)
	return strings.Join(parts, ", ")
}
