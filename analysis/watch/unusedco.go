package watch

import (
	"math"
	"slices"
	"strconv"

	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// UnusedCO is a CO on a record that could not be used, with its level. The
// number is the least that the CO was free of excess air.
type UnusedCO struct {
	judge.UnusedCO
	Level Level
	PPM   float64 // NaN: over range without a number, or not readable
}

// unusedCO grades a CO on a record that could not be used. An upper limit and a
// number that cannot be read say nothing: COUnknown.
func unusedCO(u judge.UnusedCO, r Config) UnusedCO {
	g := UnusedCO{UnusedCO: u, PPM: u.AtLeastPPM(combustion.AirO2Field, r.Judge.NoBurnerO2Percent)}
	switch {
	case u.COLimit == judge.Above && math.IsNaN(g.PPM), g.PPM >= r.COUrgentPPM:
		g.Level = COUrgent
	case g.PPM >= r.COAttentionPPM:
		g.Level = COAttention
	case u.Readable():
		g.Level = COBelow
	}
	return g
}

// dangerous reports CO for attention or more.
func (u *UnusedCO) dangerous() bool { return u.Level >= COAttention }

// Unreadable reports a CO cell whose number nobody can tell.
func (u *UnusedCO) Unreadable() bool { return !u.Readable() && u.COLimit != judge.Below }

// line is the CO as a line of the list shows it.
func (u *UnusedCO) line() CO {
	return CO{Level: u.Level, AirFreePPM: u.PPM, AtLeast: true, Over: u.COLimit == judge.Above, Basis: u.COBasis, Day: u.Day, Unused: u}
}

// openUnusedCO lists the CO on records that could not be used up to the as-of
// day which no later test has settled: of lines in order of file and line, then of
// readings without a burner at work in their order.
func openUnusedCO(h *judge.History, fires []FireLine, r Config) (open []UnusedCO) {
	take := func(g UnusedCO) {
		at := coAt{g.Day, g.LatestDay, g.Fire, g.Condition}
		if max(g.Day, g.LatestDay) <= r.AsOf && (g.dangerous() || g.Unreadable()) && !settledCO(h, fires, at, r) {
			open = append(open, g)
		}
	}
	for i := range h.UnusedCO {
		take(unusedCO(h.UnusedCO[i], r))
	}
	fieldReadings(h, r.AsOf, func(x *judge.Reading) {
		if !r.Judge.PerhapsNoBurner(x) {
			return
		}
		if g := idleCO(x, r); g.dangerous() {
			take(g)
		}
	})
	return open
}

// idleCO grades a CO that was read without a burner at work, or perhaps without
// one because the fuel is not known.
func idleCO(x *judge.Reading, r Config) UnusedCO {
	g := unusedCO(judge.UnusedCO{
		Day: x.Day, LatestDay: x.Day, Fire: x.Fire, Condition: x.Condition, COPPM: x.COPPM, COLimit: x.COLimit, COBasis: x.COBasis,
		COReferenceO2Percent: x.COReferenceO2Percent, O2Percent: x.O2Percent, Reason: judge.NoBurner.String(), Origin: x.Origin,
	}, r)
	if !r.Judge.NoBurner(x) {
		co := coOf(x, r)
		g.Level, g.PPM = co.Level, co.AirFreePPM
	}
	return g
}

// worstUnused is the worst of some CO on records that could not be used, nil
// where none is dangerous.
func worstUnused(open []UnusedCO) (worst *UnusedCO) {
	for i := range open {
		if u := &open[i]; u.dangerous() && (worst == nil || coAbove(u.line(), worst.line())) {
			worst = u
		}
	}
	return worst
}

// unusedFinding puts a unit into the group of a level for a CO on a record that
// could not be used.
func (x *facts) unusedFinding(level Level, from float64) finding {
	u := worstUnused(x.unused)
	if u == nil || u.Level != level {
		return finding{}
	}
	group := BookSooner
	if level == COUrgent {
		group = GoToday
	}
	return finding{group: group, reason: COUnusable{CO: u, FromPPM: from, AsOf: x.rules.AsOf}}
}

// takeUnusedCO lets a line show the CO of a record that could not be used where
// it is worse than that of the readings.
func takeUnusedCO(l *Line, x *facts) {
	l.unused = x.unused
	if u := worstUnused(x.unused); u != nil && coAbove(u.line(), l.CO) {
		l.CO, l.COFire = u.line(), FireAt{u.Fire, math.NaN()}
	}
}

// coNotRead: nobody knows the CO of the last visit. What was not read cannot
// wait for its planned day; the record can be asked for.
func coNotRead(x *facts) finding {
	for i := range x.unused {
		if u := &x.unused[i]; u.Unreadable() {
			return finding{group: AskFirst, after: TestOverdue, reason: COUnreadable{CO: u}}
		}
	}
	day, fires, ok := x.lastVisitWithoutCO()
	if !ok {
		return finding{}
	}
	return finding{group: AskFirst, after: TestOverdue, reason: CONotRecorded{Day: day, Fires: fires}}
}

// lastVisitWithoutCO returns the day of the last visit in the field and the
// fires it read without CO; false where every fire read has its CO, or there was
// no visit.
func (x *facts) lastVisitWithoutCO() (d day.Day, fires []FireAt, missing bool) {
	v := x.lastVisit()
	if v == nil {
		return day.None, nil, false
	}
	d = v.Day
	var read []FireAt
	var with []bool
	fieldReadings(x.h, x.rules.AsOf, func(r *judge.Reading) {
		if r.Day != d {
			return
		}
		at := FireAt{r.Fire, r.RatePercent}
		k := slices.IndexFunc(read, at.same)
		if k < 0 {
			k, read, with = len(read), append(read, at), append(with, false)
		}
		with[k] = with[k] || r.COPPM >= 0 || r.COLimit == judge.Above
	})
	for k, at := range read {
		if !with[k] {
			fires = append(fires, at)
		}
	}
	return d, fires, len(fires) > 0 || len(read) == 0
}

// newestDanger is the last day that a dangerous CO on a record that could not be
// used may be of, day.None without one.
func newestDanger(open []UnusedCO) day.Day {
	newest := day.None
	for i := range open {
		if u := &open[i]; u.dangerous() {
			newest = max(newest, u.LatestDay)
		}
	}
	return newest
}

// unusedEntries lists the CO on records that could not be used. One whose day
// cannot be read stands where it is no later than.
func unusedEntries(h *judge.History, r Config) []Entry {
	var entries []Entry
	for i := range h.UnusedCO {
		u := unusedCO(h.UnusedCO[i], r)
		if max(u.Day, u.LatestDay) > r.AsOf {
			continue
		}
		e := Entry{Day: u.LatestDay, Unused: &u}.empty()
		e.CO, e.O2Percent, e.O2Decimals, e.Origin = u.line(), u.O2Percent, 1, u.Origin
		entries = append(entries, e)
	}
	return entries
}

// worstOfEach keeps of each record the worst CO that is wanted, in their order.
func worstOfEach(all []UnusedCO, wanted func(*UnusedCO) bool) (worst []UnusedCO) {
	at := map[string]int{}
	for i := range all {
		u := &all[i]
		if !wanted(u) {
			continue
		}
		k, seen := at[u.Origin]
		switch {
		case !seen:
			at[u.Origin] = len(worst)
			worst = append(worst, *u)
		case coAbove(u.line(), worst[k].line()):
			worst[k] = *u
		}
	}
	return worst
}

// GradeUnused grades the CO of records that name no unit.
func GradeUnused(all []judge.UnusedCO, r Config) (dangerous []UnusedCO) {
	for i := range all {
		if g := unusedCO(all[i], r); g.dangerous() {
			dangerous = append(dangerous, g)
		}
	}
	return worstOfEach(dangerous, (*UnusedCO).dangerous)
}

// MarkCO notes on the records to be fixed which of them hold a CO that nothing
// has settled: first come those that hold one for attention or more.
func MarkCO(fixes []Fix, lines []Line, ofNoUnit []UnusedCO) {
	at := map[string]*UnusedCO{}
	note := func(all []UnusedCO) {
		for i := range all {
			u := &all[i]
			if was := at[u.Origin]; was == nil || u.Level > was.Level || u.Level == was.Level && u.PPM > was.PPM {
				at[u.Origin] = u
			}
		}
	}
	for i := range lines {
		note(lines[i].unused)
	}
	note(ofNoUnit)
	for i := range fixes {
		f := &fixes[i]
		u := at[f.File+":"+strconv.Itoa(f.Line)]
		if f.Line == 0 || u == nil {
			continue
		}
		f.co = u
		if u.dangerous() {
			f.Holds = u
		}
	}
}
