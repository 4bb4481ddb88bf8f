package watch

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"fluedrift/model/judge"
)

// Story is one unit's records with their verdicts, and why it stands where it
// does.
type Story struct {
	Serial  string
	Head    []string // who and where it is, what it burns, how it is vented
	Line    Line     // where it stands and why
	NotRead string   // exports that were not read and might have what is not on record
	Check   []string // what to look at first, where somebody is to see it: common practice, no source
	Found   []string // what the records say of themselves
	Cost    []string // what lean readings cost in fuel
	Entries []Entry  // newest first: one a reading, and one a visit without readings or a change
}

// Entry is one line of a unit's history. Only the reading's own entries have
// numbers; a missing number is NaN.
type Entry struct {
	Day                     int32
	What                    string // reason of the visit, or what happened
	Fire                    string
	Condition               string
	CO2Percent              float64
	CO2Derived              bool // from O2
	O2Percent               float64
	CO                      CO
	CO2Decimals, O2Decimals int // to show them with
	FlueTempC               float64
	AirTempC                float64
	Target                  string // as it was in force that day
	Verdict                 string // "inside the setting band", "0.3 rich", "" where it cannot be told
	Technician              string
	Analyzer                string
	Origin                  string // file:line
	Marks                   string
	Judged                  string // what the reading is good for, and why
}

// Tell puts one unit's story together from its history, its line and the rules
// the line was made with.
func Tell(h *judge.History, l Line, r Rules) Story {
	x := &facts{h: h, rules: r, judged: l.judged, fires: l.Fires}
	return Story{Serial: h.Unit.Serial, Head: headOf(h, r), Line: l, NotRead: r.NotRead, Check: storyChecks(l),
		Found: storyFindings(h, l.judged, r.AsOf), Cost: storyCosts(x), Entries: entriesOf(h, r, l.judged)}
}

// headOf describes the unit.
func headOf(h *judge.History, r Rules) []string {
	u := h.Unit
	parts := []string{"Unit " + u.Serial}
	for _, p := range []string{u.Site, u.Area, u.ModelLine, u.Fuel, u.Control, u.Firing} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	if u.InputKW > 0 {
		parts = append(parts, plain(u.InputKW)+" kW")
	}
	head := []string{strings.Join(parts, ", ")}
	state := "Installed on " + DayWords(u.Installed)
	if u.State != "" {
		state += ", " + u.State
		if u.StateFrom != judge.NoDay {
			state += " since " + DayWords(u.StateFrom)
		}
	}
	head = append(head, state+".")
	if w := movedStory(h, r.AsOf); w != "" {
		head = append(head, w)
	}
	for i := len(h.VentRuns) - 1; i >= 0; i-- {
		if h.VentRuns[i].From <= r.AsOf {
			return append(head, ventWords(h.VentRuns[i]))
		}
	}
	return append(head, "Vent run not on record.")
}

// ventWords describes a vent run.
func ventWords(v judge.VentRun) string {
	if !v.Known {
		return "Vent run not on record."
	}
	var parts []string
	add := func(v float64, format string) {
		if !math.IsNaN(v) {
			parts = append(parts, fmt.Sprintf(format, plain(v)))
		}
	}
	add(v.LengthM, "%s m straight")
	add(v.RiseM, "%s m rise")
	add(1000*v.DiameterM, "%s mm wide")
	if v.Elbows90 >= 0 {
		parts = append(parts, count(v.Elbows90, "elbow")+" of 90 degrees")
	}
	if v.Elbows45 > 0 {
		parts = append(parts, count(v.Elbows45, "elbow")+" of 45 degrees")
	}
	if v.Terminal != "" {
		parts = append(parts, "terminal "+v.Terminal)
	}
	if v.AirFrom != "" {
		parts = append(parts, "air from "+v.AirFrom)
	}
	return "Vent run: " + strings.Join(parts, ", ") + "."
}

// entriesOf lists readings, visits without readings, and changes of vent and
// fuel, newest first.
func entriesOf(h *judge.History, r Rules, j *judge.Judgement) []Entry {
	var entries []Entry
	judged := judgedWords(h, j)
	read := map[int]bool{}
	for i := range h.Readings {
		if h.Readings[i].Day <= r.AsOf {
			e := readingEntry(h, &h.Readings[i], r)
			e.Judged = judged[i]
			entries = append(entries, e)
			read[h.Readings[i].Visit] = true
		}
	}
	for i, v := range h.Visits {
		if !read[i] && v.Day <= r.AsOf {
			entries = append(entries, Entry{Day: v.Day, What: visitWords(&v), Technician: v.Technician, Analyzer: v.Analyzer,
				Origin: v.Origin}.empty())
		}
	}
	entries = append(entries, changeEntries(h, r)...)
	entries = append(entries, unusedEntries(h, r)...)
	sort.SliceStable(entries, func(i, j int) bool { return entries[i].Day < entries[j].Day })
	slices.Reverse(entries)
	return entries
}

// visitWords says what is known of a visit without readings.
func visitWords(v *judge.Visit) string {
	w := "visit, no reading on record"
	if v.Reason != "" {
		w = v.Reason + ", no reading on record"
	}
	switch high, low := v.AdjustedHigh, v.AdjustedLow; {
	case high == low && high != "":
		w += ", adjusted " + high
	default:
		if high != "" {
			w += ", adjusted at high fire " + high
		}
		if low != "" {
			w += ", adjusted at low fire " + low
		}
	}
	if v.Parts != "" {
		w += ", parts " + v.Parts
	}
	return w
}

// empty sets the numbers of an entry without a reading.
func (e Entry) empty() Entry {
	nan := math.NaN()
	e.CO2Percent, e.O2Percent, e.FlueTempC, e.AirTempC = nan, nan, nan, nan
	e.CO = CO{AirFreePPM: nan, Day: judge.NoDay}
	return e
}

// changeEntries lists the days from which another vent run or fuel holds.
func changeEntries(h *judge.History, r Rules) []Entry {
	var entries []Entry
	add := func(day, uncertain int32, what string) {
		if day > r.AsOf {
			return
		}
		if uncertain != judge.NoDay {
			what += ", some day since " + DayWords(uncertain)
		}
		entries = append(entries, Entry{Day: day, What: what}.empty())
	}
	for i := range h.Moves {
		add(h.Moves[i].Day, h.Moves[i].After, movedWords(&h.Moves[i]))
	}
	for i, v := range h.VentRuns {
		if i > 0 {
			add(v.From, v.UncertainFrom, "vent run changed: "+strings.TrimPrefix(strings.TrimSuffix(ventWords(v), "."), "Vent run: "))
		}
	}
	for i, f := range h.Fuels {
		if i > 0 {
			add(f.From, f.UncertainFrom, "fuel changed to "+f.Fuel)
		}
	}
	return entries
}

// readingEntry is the line of one reading.
func readingEntry(h *judge.History, rd *judge.Reading, r Rules) Entry {
	fuel := r.fuel(rd.Fuel)
	e := Entry{Day: rd.Day, Fire: fireLabel(rd.Fire, rd.RatePercent), Condition: rd.Condition,
		CO2Percent: r.Judge.CO2(rd), CO2Derived: math.IsNaN(rd.CO2Percent) && !math.IsNaN(rd.O2Percent), O2Percent: rd.O2Percent,
		CO: coOf(rd, r), FlueTempC: rd.FlueTempC, AirTempC: rd.AirTempC, Target: TargetWords(rd.Target),
		Analyzer: rd.Analyzer, Origin: rd.Origin, Marks: rd.Marks}
	if rd.Visit >= 0 && rd.Visit < len(h.Visits) {
		v := &h.Visits[rd.Visit]
		e.What, e.Technician = v.Reason, v.Technician
		if rd.Condition == judge.AsFound && v.Adjusted(rd.Fire) != "" {
			e.Condition += ", adjusted " + v.Adjusted(rd.Fire)
		}
	}
	e.CO2Decimals, e.O2Decimals = decimalsOf(rd.CO2Decimals), decimalsOf(rd.O2Decimals)
	if e.CO2Derived {
		e.CO2Decimals = e.O2Decimals
	}
	e.Verdict = verdict(compare(rd, rd.Target, fuel), r.Judge.NoBurner(rd))
	return e
}

// verdict puts a comparison in words.
func verdict(c comparison, idle bool) string {
	switch {
	case idle:
		return "no burner at work"
	case math.IsNaN(c.Points):
		return ""
	case c.Side != NoSide:
		return gasNumber(math.Abs(c.Points)) + " " + c.Side.String() + ", outside"
	case math.IsNaN(c.Beyond):
		return "no band to judge by"
	default:
		return "inside the setting band"
	}
}
