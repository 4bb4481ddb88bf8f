package watch

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Fix is a record that a person should correct at its source. The line is 0
// where it is not known.
type Fix struct {
	File     string
	Line     int
	Column   string
	Value    string // as recorded
	Reason   string // the kind of fault
	Message  string // of the reading of files; words.FixMessages makes the others from Because
	Because  Reason
	Found    *Found // what the judgement found, nil elsewhere; Reading is what it concerns
	Reading  *judge.Reading
	Holds    *UnusedCO // CO for attention or more on the record, not settled since
	Serial   string
	Original string  // the line as it stands in the file, where it was kept
	MendIn   string  // where the line is to be mended: a file of the publication and its line, or why none holds it
	Day      day.Day // of the record; day.None where it has none or it cannot be read
	OfCell   bool    // it concerns a cell without which its line stands
	Open     bool    // it concerns the newest values of its fire
	Decides  bool    // the unit's place on the list depends on it; OrderFixes fills it

	co *UnusedCO // on the record, not settled since; MarkCO fills it
}

// Reasons of the records that the judgement of units finds, beside those of
// the reading of files.
const (
	ReasonLeftFar      = "left-far-from-target"
	ReasonAboveFuel    = "co2-above-fuel"
	ReasonFuelDoubt    = "fuel-in-doubt"
	ReasonReadRemoved  = "read-after-removal"
	ReasonNotRegister  = "not-in-register"
	ReasonNoTargetLine = "no-target"
	ReasonVentOfPlace  = "vent-of-new-place"
)

// reasonFooter is the reason of reading for a line that looks like a total.
const reasonFooter = "footer-line"

// FixesOf returns the records that a line's judgement asks to be looked at.
func FixesOf(l Line) []Fix {
	var fixes []Fix
	add := func(r *judge.Reading, reason string, because Reason) {
		f := Fix{Reason: reason, Because: because, Serial: l.Unit.Serial, Day: day.None}
		if r != nil {
			f.File, f.Line = origin(r.Origin)
			f.Column, f.Value = gasColumn(r)
			f.Day = r.Day
		}
		fixes = append(fixes, f)
	}
	for i := range l.Fires {
		f := &l.Fires[i]
		if f.LeftFar {
			add(f.Reading, ReasonLeftFar, FarLeft{Fire: f})
		}
	}
	for i := range l.doubted {
		fixes = append(fixes, l.doubted[i].fix(l.Unit.Serial))
	}
	if l.newPlace != nil {
		fixes = append(fixes, ventOfPlaceFix(l.newPlace, l.Unit.Serial))
	}
	switch {
	case l.Ground == FuelInDoubt:
		add(newestReading(l), ReasonFuelDoubt, l.Reasons[0])
	case l.Unit.State == judge.Removed && !l.Removed:
		add(newestReading(l), ReasonReadRemoved, RemovedAndRead{RemovedOn: l.Unit.StateFrom})
	case l.Ground == NoTarget && l.Unit.InRegister:
		add(nil, ReasonNoTargetLine, l.Reasons[0])
	case l.Ground == NoReading && len(l.Fires) == 0:
		add(nil, ReasonNoTargetLine, NoTargetDeclared{Unit: &l.Unit})
	}
	return fixes
}

// newestReading returns the newest reading of a line's fires, nil without one.
func newestReading(l Line) *judge.Reading {
	var newest *judge.Reading
	for _, f := range l.Fires {
		if f.Reading != nil && (newest == nil || f.Reading.Day > newest.Day) {
			newest = f.Reading
		}
	}
	return newest
}

// origin splits "file:line" at its last colon.
func origin(s string) (file string, line int) {
	i := strings.LastIndexByte(s, ':')
	if i < 0 {
		return s, 0
	}
	n, err := strconv.Atoi(s[i+1:])
	if err != nil {
		return s, 0
	}
	return s[:i], n
}

// gasColumn names the gas a reading was recorded in, and its value as recorded; one
// decimal where nobody knows how many there were.
func gasColumn(r *judge.Reading) (column, value string) {
	switch {
	case !math.IsNaN(r.CO2Percent):
		return "co2", strconv.FormatFloat(r.CO2Percent, 'f', decimalsOf(r.CO2Decimals), 64)
	case !math.IsNaN(r.O2Percent):
		return "o2", strconv.FormatFloat(r.O2Percent, 'f', decimalsOf(r.O2Decimals), 64)
	}
	return "o2", ""
}

// decimalsOf returns how many decimals a value was recorded with, one where it is not
// known.
func decimalsOf(d int8) int {
	if d < 0 || d > 3 {
		return 1
	}
	return int(d)
}

// OrderFixes sorts records to be fixed by what they cost, and notes which of
// them decide a place on the list. First stand those that hold a CO for attention
// or more, the higher first, then the others that do: a serial outside
// the register, what the judgement of a unit found, a unit that has no reading
// or no line at all, register lines that contradict each other, and a record no
// older than the unit's newest reading that stands, or one whose CO cannot be read. Then those that may: the
// serial or the day cannot be read. Then the rest, older than what the unit is
// judged by, or below the rows, and last cells without which their line stands. Within
// each, units in the order of the list, then file and line.
func OrderFixes(fixes []Fix, lines []Line) {
	places := placesOf(lines)
	rank := make(map[string]int, len(fixes)) // by serial: its place on the list
	for i := range fixes {
		f := &fixes[i]
		rank[f.Serial] = len(lines) + 1
		if p, ok := places[f.Serial]; ok {
			rank[f.Serial] = p.at
		}
		f.Decides = costOf(*f, places) <= costsPlace
	}
	slices.SortStableFunc(fixes, func(a, b Fix) int {
		return cmp.Or(
			cmp.Compare(costOf(a, places), costOf(b, places)),
			compareCO(a, b),
			cmp.Compare(registerRank(a), registerRank(b)),
			cmp.Compare(rank[a.Serial], rank[b.Serial]),
			strings.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), strings.Compare(a.Column, b.Column),
			strings.Compare(a.Reason, b.Reason), strings.Compare(a.Serial, b.Serial),
			strings.Compare(a.Message, b.Message), strings.Compare(a.Value, b.Value))
	})
}

// place is where a unit stands on the list, and what it is judged by.
type place struct {
	at       int
	newest   day.Day // day of its newest reading; day.None without one
	conflict bool    // its register lines contradict each other
}

func placesOf(lines []Line) map[string]place {
	places := make(map[string]place, len(lines))
	for i, l := range Order(lines) {
		p := place{at: i, newest: day.None, conflict: l.Unit.RegisterConflict}
		if r := newestReading(l); r != nil {
			p.newest = r.Day
		}
		places[l.Unit.Serial] = p
	}
	return places
}

// What a record to be fixed costs.
const (
	hidesCO    = iota // it holds a CO for attention or more
	costsPlace        // a place on the list depends on it
	mayCost           // it cannot be told
	costsLittle
	costsCell // its line stands without it
)

// costlyReasons are the reasons of records that decide where a unit stands.
var costlyReasons = []string{
	ReasonLeftFar, ReasonAboveFuel, ReasonFuelDoubt, ReasonReadRemoved, ReasonNotRegister, ReasonNoTargetLine,
}

func costOf(f Fix, places map[string]place) int {
	if f.co != nil && f.co.dangerous() {
		return hidesCO
	}
	if f.co != nil || slices.Contains(costlyReasons, f.Reason) || f.Found != nil && f.Open {
		return costsPlace
	}
	p, listed := places[f.Serial]
	switch {
	case f.OfCell:
		return costsCell
	case f.Reason == reasonFooter:
		return costsLittle // a line below the rows, of no unit
	case f.Serial == "":
		return mayCost
	case !listed, p.newest == day.None, p.conflict && f.Day == day.None:
		return costsPlace
	case f.Day == day.None:
		return mayCost
	case f.Day >= p.newest:
		return costsPlace
	}
	return costsLittle
}

// compareCO puts the higher of two dangerous CO first.
func compareCO(a, b Fix) int {
	if a.co == nil || b.co == nil || !a.co.dangerous() || !b.co.dangerous() {
		return 0
	}
	return cmp.Or(cmp.Compare(b.co.Level, a.co.Level), cmp.Compare(coSteps(b.co.line()), coSteps(a.co.line())))
}

func registerRank(f Fix) int {
	if f.Reason == ReasonNotRegister {
		return 0
	}
	return 1
}
