package watch

import (
	"math"
	"slices"
	"sort"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// About is who a unit is and where it stands on the as-of day.
type About struct {
	Unit  judge.Unit
	Vent  *judge.VentRun // in force; nil where none is on record
	Moved *judge.Move    // the newest; nil where it has stood in one place
}

func aboutOf(h *judge.History, asOf day.Day) About {
	a := About{Unit: h.Unit, Moved: h.LastMove(asOf)}
	for i := range h.VentRuns {
		if h.VentRuns[i].From <= asOf {
			a.Vent = &h.VentRuns[i]
		}
	}
	return a
}

// Story is one unit's records with their verdicts, and why it stands where it
// does.
type Story struct {
	About
	Line    Line   // where it stands and why
	NotRead string // exports that were not read and might have what is not on record
	Found   []Found
	Costs   []LeanCost
	Entries []Entry // newest first: one a reading, and one a visit without readings or a change
}

// LeanCost is what the newest lean reading of a fire costs in fuel.
type LeanCost struct {
	Fire *FireLine
	judge.Cost
}

// Entry is one line of a unit's history. Only the reading's own entries have
// numbers; a missing number is NaN. What it is of is the first of Reading, Moved,
// Vent, Fuel, Unused and Visit that is there.
type Entry struct {
	Day                     day.Day
	Reading                 *judge.Reading
	Moved                   *judge.Move    // on that day
	Vent                    *judge.VentRun // the run that begins on that day
	Fuel                    string         // the fuel from that day on
	Uncertain               day.Day        // of a change: the last day before it; day.None where its day is known
	Unused                  *UnusedCO      // a CO on a record that could not be used
	Visit                   *judge.Visit   // of the reading, or without one
	CO2Percent              float64
	CO2Derived              bool // from O2
	O2Percent               float64
	CO                      CO
	CO2Decimals, O2Decimals int // to show them with
	FlueTempC               float64
	AirTempC                float64
	Off                     Off
	Out                     bool         // beyond the action limits of its day
	Use                     judge.Use    // what the reading is good for
	Kinds                   []judge.Kind // of what was found of it
	Technician              string
	Analyzer                string
	Origin                  string // file:line
	Marks                   string
}

// Off is a reading beside the target and the setting band of its day.
type Off struct {
	Points, Beyond float64 // NaN: without a target, without a band
	Side           Side
	NoBurner       bool // it was read without a burner at work
}

// Tell puts one unit's story together from its history, its line and the rules
// the line was made with.
func Tell(h *judge.History, l Line, r Config) Story {
	x := &facts{h: h, rules: r, judged: l.judged, fires: l.Fires}
	return Story{
		About: aboutOf(h, r.AsOf), Line: l, NotRead: r.NotRead,
		Found: toldFindings(h, l.judged, r.AsOf), Costs: leanCosts(x), Entries: entriesOf(h, r, l.judged),
	}
}

// entriesOf lists readings, visits without readings, and changes of vent and
// fuel, newest first.
func entriesOf(h *judge.History, r Config, j *judge.Judgement) []Entry {
	var entries []Entry
	kinds := kindsOf(j)
	read := map[int]bool{}
	for i := range h.Readings {
		if h.Readings[i].Day <= r.AsOf {
			e := readingEntry(h, &h.Readings[i], r)
			e.Use, e.Kinds = j.Uses[i], kinds[i]
			entries = append(entries, e)
			read[h.Readings[i].Visit] = true
		}
	}
	for i := range h.Visits {
		if v := &h.Visits[i]; !read[i] && v.Day <= r.AsOf {
			entries = append(entries, Entry{Day: v.Day, Visit: v, Technician: v.Technician, Analyzer: v.Analyzer, Origin: v.Origin}.empty())
		}
	}
	entries = append(entries, changeEntries(h, r)...)
	entries = append(entries, unusedEntries(h, r)...)
	sort.SliceStable(entries, func(i, j int) bool { return entries[i].Day < entries[j].Day })
	slices.Reverse(entries)
	return entries
}

// empty sets the numbers of an entry without a reading.
func (e Entry) empty() Entry {
	nan := math.NaN()
	e.CO2Percent, e.O2Percent, e.FlueTempC, e.AirTempC = nan, nan, nan, nan
	e.CO = CO{AirFreePPM: nan, Day: day.None}
	return e
}

// changeEntries lists the days from which another place, vent run or fuel holds.
func changeEntries(h *judge.History, r Config) []Entry {
	var entries []Entry
	add := func(e Entry) {
		if e.Day <= r.AsOf {
			entries = append(entries, e.empty())
		}
	}
	for i := range h.Moves {
		m := &h.Moves[i]
		add(Entry{Day: m.Day, Moved: m, Uncertain: m.After})
	}
	for i := range h.VentRuns {
		if v := &h.VentRuns[i]; i > 0 {
			add(Entry{Day: v.From, Vent: v, Uncertain: v.UncertainFrom})
		}
	}
	for i, f := range h.Fuels {
		if i > 0 {
			add(Entry{Day: f.From, Fuel: f.Fuel, Uncertain: f.UncertainFrom})
		}
	}
	return entries
}

// readingEntry is the line of one reading.
func readingEntry(h *judge.History, rd *judge.Reading, r Config) Entry {
	e := Entry{
		Day: rd.Day, Reading: rd,
		CO2Percent: r.Judge.CO2(rd), CO2Derived: math.IsNaN(rd.CO2Percent) && !math.IsNaN(rd.O2Percent), O2Percent: rd.O2Percent,
		CO: coOf(rd, r), FlueTempC: rd.FlueTempC, AirTempC: rd.AirTempC,
		Analyzer: rd.Analyzer, Origin: rd.Origin, Marks: rd.Marks,
	}
	if rd.Visit >= 0 && rd.Visit < len(h.Visits) {
		e.Visit = &h.Visits[rd.Visit]
		e.Technician = e.Visit.Technician
	}
	e.CO2Decimals, e.O2Decimals = decimalsOf(rd.CO2Decimals), decimalsOf(rd.O2Decimals)
	if e.CO2Derived {
		e.CO2Decimals = e.O2Decimals
	}
	c := compare(rd, rd.Target, r.fuel(rd.Fuel))
	e.Off = Off{c.Points, c.Beyond, c.Side, r.Judge.NoBurner(rd)}
	e.Out = bandSpan(&rd.Target, rd.Fuel, r).out(e.CO2Percent)
	return e
}
