package watch

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"fluedrift/model/judge"
)

// Fix is a record that a person should correct at its source. The line is 0
// where it is not known.
type Fix struct {
	File    string
	Line    int
	Column  string
	Value   string // as recorded
	Reason  string // the kind of fault
	Message string
	Serial  string
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
)

// FixesOf returns the records that a line's judgement asks to be looked at.
func FixesOf(l Line) []Fix {
	var fixes []Fix
	add := func(r *judge.Reading, reason, message string) {
		f := Fix{Reason: reason, Message: message, Serial: l.Unit.Serial}
		if r != nil {
			f.File, f.Line = origin(r.Origin)
			f.Column, f.Value = gasColumn(r)
		}
		fixes = append(fixes, f)
	}
	for i := range l.Fires {
		f := &l.Fires[i]
		if f.LeftFar {
			add(f.Reading, ReasonLeftFar, fmt.Sprintf("%s left at %s, target %s", f.Label(), valueWords(f), TargetWords(f.Target)))
		}
	}
	switch {
	case l.Tier == FuelInDoubt:
		add(newestReading(l), ReasonFuelDoubt, l.Reasons[0])
	case l.Unit.State == stateRemoved && !l.Removed:
		add(newestReading(l), ReasonReadRemoved, "recorded as removed on "+DayWords(l.Unit.StateFrom)+", and read since")
	case l.Tier == NoTarget && l.Unit.InRegister:
		add(nil, ReasonNoTargetLine, l.Reasons[0])
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

// gasColumn names the gas a reading was recorded in, and its value.
func gasColumn(r *judge.Reading) (column, value string) {
	column = "co2"
	if math.IsNaN(r.CO2Percent) {
		column = "o2"
	}
	return column, strings.TrimSuffix(strings.TrimSuffix(GasWords(r), " % CO2"), " % O2")
}

// OrderFixes sorts records to be fixed: serials that are not in the register
// first, then by file, line, column, reason, serial and message.
func OrderFixes(fixes []Fix) {
	slices.SortStableFunc(fixes, func(a, b Fix) int {
		return cmp.Or(
			cmp.Compare(registerRank(a), registerRank(b)),
			strings.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), strings.Compare(a.Column, b.Column),
			strings.Compare(a.Reason, b.Reason), strings.Compare(a.Serial, b.Serial),
			strings.Compare(a.Message, b.Message), strings.Compare(a.Value, b.Value))
	})
}

func registerRank(f Fix) int {
	if f.Reason == ReasonNotRegister {
		return 0
	}
	return 1
}
