package watch

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"fluedrift/model/judge"
)

// doubted is a record with a finding, and what a person is asked to look at. It
// proposes; nothing is corrected by it.
type doubted struct {
	kind          judge.Kind
	open          bool
	reading       judge.Reading
	column, value string
	message       string
}

// proposals say what to do about a record, by the kind of finding: the value
// as it stands on the analyzer's own print or memory decides, never the finding.
// Kinds without one are no fault of a record, or have a row of their own.
var proposals = map[judge.Kind]string{
	judge.OverCO2Max:   "check value, fuel and column against the analyzer's record",
	judge.NoBurner:     "strike the values if the burner was off; else correct them from the analyzer's record",
	judge.SwappedGases: "if the analyzer's record says so, exchange O2 and CO2",
	judge.OtherGas:     "if the analyzer's record says so, move the value to the other gas",
	judge.PairApart:    "correct O2 or CO2 from the analyzer's record",
	judge.SwappedFires: "if the analyzer's record says so, exchange high and low fire",
	judge.LowRate:      "correct rate or fire",
	judge.EarlyReading: "correct minutes or flue temperature; if they are right, nothing can be mended: read again at the next visit",
	judge.CopiedVisit:  "find the record of this visit; without it, strike the values",
	judge.CopiedAsLeft: "find the values left; if nothing was adjusted, say so",
	judge.ExactDouble:  "strike one",
	judge.FoundTwice:   "enter the times, or strike all but the first",
	judge.COBasis:      "correct CO or say whether it is free of excess air",
	judge.TempUnit:     "correct temperature or unit of measure",
	judge.RoomProbe:    "if the air was taken in the room, say so or enter the intake's",
	judge.DateDisorder: "correct the day",
}

// doubtedRecords lists the records up to the as-of day that a finding with a
// proposal concerns, in the order of the findings.
func doubtedRecords(x *facts) (all []doubted) {
	for i := range x.judged.Findings {
		f := &x.judged.Findings[i]
		what, ok := proposals[f.Kind]
		if !ok {
			continue
		}
		for _, r := range concerned(x, f) {
			column, value := findingColumn(f.Kind, r)
			all = append(all, doubted{f.Kind, f.Open, *r, column, value, f.Words + ": " + what})
		}
	}
	return all
}

// concerned are the readings up to the as-of day that somebody has to look at for
// a finding: of a copied visit, of dates in disorder and of as found recorded twice
// one a line, because each of the lines may be wrong; of any other the last.
func concerned(x *facts, f *judge.Finding) (readings []*judge.Reading) {
	some := f.Readings[len(f.Readings)-1:]
	if f.Kind == judge.CopiedVisit || f.Kind == judge.DateDisorder || f.Kind == judge.FoundTwice {
		some = f.Readings
	}
	lines := map[string]bool{}
	for _, i := range some {
		if r := &x.h.Readings[i]; r.Day <= x.rules.AsOf && !lines[r.Origin] {
			lines[r.Origin] = true
			readings = append(readings, r)
		}
	}
	return readings
}

// fix is the row of a record.
func (d *doubted) fix(serial string) Fix {
	f := Fix{Column: d.column, Value: d.value, Reason: d.kind.String(), Message: d.message, Serial: serial, Day: d.reading.Day, Finding: true, Open: d.open}
	f.File, f.Line = origin(d.reading.Origin)
	return f
}

// findingColumn names what of a reading a finding is about, with its value.
func findingColumn(k judge.Kind, r *judge.Reading) (column, value string) {
	shown := func(name string, v float64) (string, string) {
		if math.IsNaN(v) {
			return name, ""
		}
		return name, strconv.FormatFloat(v, 'f', -1, 64)
	}
	switch {
	case slices.Contains([]judge.Kind{judge.SwappedGases, judge.PairApart}, k):
		return "co2, o2", fmt.Sprintf("%s, %s", gasWords(r), strconv.FormatFloat(r.O2Percent, 'f', -1, 64)+" % O2")
	case k == judge.SwappedFires:
		return "fire", r.Fire
	case k == judge.LowRate:
		return shown("rate", r.RatePercent)
	case k == judge.EarlyReading && math.IsNaN(r.MinutesFiring):
		return shown("flue_temp", r.FlueTempC)
	case k == judge.EarlyReading:
		return shown("minutes_firing", r.MinutesFiring)
	case k == judge.COBasis:
		return shown("co", r.COPPM)
	case k == judge.RoomProbe:
		return shown("air_temp", r.AirTempC)
	case k == judge.TempUnit:
		return "flue_temp, air_temp", fmt.Sprintf("%s, %s", degrees(r.FlueTempC), degrees(r.AirTempC))
	case k == judge.DateDisorder:
		return "date", DayWords(r.Day)
	}
	return gasColumn(r)
}

// degrees writes a temperature, "-" where there is none.
func degrees(c float64) string {
	if math.IsNaN(c) {
		return "-"
	}
	return strconv.FormatFloat(math.Round(c*10)/10, 'f', -1, 64) + " degC"
}
