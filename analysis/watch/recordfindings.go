package watch

import (
	"math"
	"slices"

	"fluedrift/model/judge"
)

// recordFinding is a record with a finding, and what a person is asked to look at. It
// proposes; nothing is corrected by it.
type recordFinding struct {
	found   *Found
	reading *judge.Reading
}

// proposed are the kinds of findings about which somebody can do something in the
// record. The others are no fault of a record, or have a row of their own.
var proposed = []judge.Kind{
	judge.OverCO2Max,
	judge.NoBurner,
	judge.SwappedGases,
	judge.OtherGas,
	judge.PairApart,
	judge.SwappedFires,
	judge.LowRate,
	judge.EarlyReading,
	judge.CopiedVisit,
	judge.CopiedAsLeft,
	judge.ExactDouble,
	judge.FoundTwice,
	judge.COBasis,
	judge.TempUnit,
	judge.RoomProbe,
	judge.DateDisorder,
}

// recordFindings lists the records up to the as-of day that a finding with a
// proposal concerns, in the order of the findings.
func recordFindings(x *facts) (all []recordFinding) {
	for i := range x.judged.Findings {
		f := &x.judged.Findings[i]
		if !slices.Contains(proposed, f.Kind) {
			continue
		}
		for _, r := range concerned(x, f) {
			all = append(all, recordFinding{x.found(f), r})
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
func (d *recordFinding) fix(serial string) Fix {
	k := d.found.Kind
	f := Fix{
		Column: findingColumn(k, d.reading), Reason: k.String(), Found: d.found, Reading: d.reading,
		Serial: serial, Day: d.reading.Day, Open: d.found.Open,
	}
	f.File, f.Line = origin(d.reading.Origin)
	return f
}

// findingColumn names what of a reading a kind of findings is about.
func findingColumn(k judge.Kind, r *judge.Reading) string {
	switch k {
	case judge.SwappedGases, judge.PairApart:
		return "co2, o2"
	case judge.SwappedFires:
		return "fire"
	case judge.LowRate:
		return "rate"
	case judge.EarlyReading:
		if math.IsNaN(r.MinutesFiring) {
			return "flue_temp"
		}
		return "minutes_firing"
	case judge.COBasis:
		return "co"
	case judge.RoomProbe:
		return "air_temp"
	case judge.TempUnit:
		return "flue_temp, air_temp"
	case judge.DateDisorder:
		return "date"
	}
	column, _ := gasColumn(r)
	return column
}
