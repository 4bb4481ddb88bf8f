package estimate

import (
	"math"
	"slices"
	"strings"

	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// unitSeries is one unit's way into the series of a fire: its record, what is read of it
// visit by visit, and the covariates of its days.
type unitSeries struct {
	*record
	reader
	covariates

	fuelInDoubt bool
	s           drift.Series
	at          [][]int // of each visit of s: the reading of the history each value is from
	of          []int   // the visit of the history each visit of s is from, or ofMove
}

// newUnitSeries is that of a unit whose values are read in a way.
func newUnitSeries(r *record, values func(u *reader, from, to int) []value) *unitSeries {
	return &unitSeries{record: r, reader: reader{record: r, values: values}, covariates: covariates{record: r}}
}

// ofMove marks a visit of a series that stands for a move.
const ofMove = -1

// targetOf finds the fire a unit has of those a fit holds, with its target of
// the as-of day. ok is false where the unit has no such fire or no target.
func targetOf(h *judge.History, holds []judge.Fire) (fire judge.Fire, t judge.Target, ok bool) {
	for _, f := range h.Targets {
		if slices.Contains(holds, f.Fire) && f.Target.Declared() && hasFire(h, f.Fire, holds) {
			return f.Fire, f.Target, true
		}
	}
	return "", t, false
}

// hasFire says whether the readings speak for a fire: a model line may declare
// targets for high and single fire both, of which a unit has one.
func hasFire(h *judge.History, fire judge.Fire, holds []judge.Fire) bool {
	any := false
	for i := range h.Readings {
		f := h.Readings[i].Fire
		if f == fire {
			return true
		}
		any = any || slices.Contains(holds, f)
	}
	return !any
}

// visits makes the visits of the series, without covariates. Factory tests stay
// out: other analyzers, another vent and another place; what lies between them
// and the field is not drift. So do visits before the unit was taken out and
// installed again, which say nothing of the level after it.
func (u *unitSeries) visits() {
	u.s = drift.Series{Unit: u.h.Unit.Serial, Area: u.b.areas[u.h.Unit.Area], Site: u.b.sites[u.h.Unit.Site], Start: years(u.start())}
	u.begin()
	targetNow := u.b.rules.Judge.TargetCO2(&u.target, u.h.Unit.Fuel)
	at := 0
	var last *judge.Reading // the newest reading of this fire so far
	moves := u.h.Moves
	for v := range u.h.Visits {
		visit := &u.h.Visits[v]
		for len(moves) > 0 && moves[0].Day <= visit.Day {
			u.addMove(&moves[0])
			moves = moves[1:]
		}
		from := at
		for at < len(u.h.Readings) && u.h.Readings[at].Visit == v {
			at++
		}
		if visit.Reason == judge.FactoryTest || visit.Day > u.b.rules.AsOf || u.h.Unit.BeforeRemoval(visit.Day) {
			continue
		}
		values := u.values(&u.reader, from, at)
		if len(values) == 0 && !touches(visit, u.fire) && !u.settingUnknown(visit, from, at) {
			continue
		}
		out, origin := u.visit(visit, values)
		if len(values) > 0 {
			first := &u.h.Readings[values[0].reading]
			out.TargetStep = u.b.rules.Judge.TargetCO2(&first.Target, first.Fuel) - targetNow
			if math.IsNaN(out.TargetStep) {
				out.TargetStep = 0
			}
			out.Before = u.changed(last, first)
			last = &u.h.Readings[values[len(values)-1].reading]
		}
		out.Before |= partsChange(visit)
		u.s.Visits, u.at, u.of = append(u.s.Visits, out), append(u.at, origin), append(u.of, v)
	}
	for i := range moves {
		u.addMove(&moves[i])
	}
}

// addMove ends what was known of the setting where the unit moved; its own drift goes
// on. A reading between the two days within which it came may be of either place, and
// tells as little.
func (u *unitSeries) addMove(m *judge.Move) {
	if m.Day > u.b.rules.AsOf || len(u.s.Visits) == 0 {
		return
	}
	out := drift.Visit{T: years(m.Day), Analyzer: -1, Period: -1, Adjusted: drift.No, Before: drift.ChangeVent}
	u.s.Visits, u.at, u.of = append(u.s.Visits, out), append(u.at, nil), append(u.of, ofMove)
}

// fill gives the visits of a series their level covariates, and the series its
// runs, once the columns are known.
func (u *unitSeries) fill() {
	asFound := u.cols.level[colAsFound]
	for v := range u.s.Visits {
		vis := &u.s.Visits[v]
		for k := range vis.Readings {
			vis.Readings[k].Level = u.level(u.at[v][k])
		}
		if len(vis.Readings) > 0 { // of a setting: no as found
			vis.Level = slices.Clone(vis.Readings[0].Level)
			vis.Level[asFound] = 0
		} else {
			vis.Level = u.levelUnread(u.visitOf(v))
		}
	}
	u.s.Runs = u.runs()
}

// visitOf is the visit of the history that a visit of the series is from; a move is
// one that nobody wrote down.
func (u *unitSeries) visitOf(v int) *judge.Visit {
	if u.of[v] == ofMove {
		return &judge.Visit{Day: day.Day(math.Round(u.s.Visits[v].T * 365.25))}
	}
	return &u.h.Visits[u.of[v]]
}

// read says whether a reading of the fire can tell where the burner stands: one in
// the field, where the unit stands now, with a value, that was not left out and is no
// step of setting.
func (u *unitSeries) read() bool {
	for v := range u.s.Visits {
		if m := u.h.LastMove(u.b.rules.AsOf); m != nil && u.visitOf(v).Day < m.Day {
			continue
		}
		for _, r := range u.s.Visits[v].Readings {
			if r.Use != drift.ForNone && r.Kind != drift.Between && !math.IsNaN(r.Y) {
				return true
			}
		}
	}
	return false
}

// touches says whether a visit without a value of the fire may have changed it.
func touches(v *judge.Visit, fire judge.Fire) bool {
	return v.Adjusted(fire) == judge.Yes || v.Parts != ""
}

// partsChange says what replaced parts change.
func partsChange(v *judge.Visit) drift.Change {
	if strings.Contains(v.Parts, "burner") || strings.Contains(v.Parts, "gas valve") || strings.Contains(v.Parts, "fan") {
		return drift.ChangeBurner
	}
	return 0
}

// visit makes one visit and says which reading each value is from.
func (u *unitSeries) visit(v *judge.Visit, values []value) (out drift.Visit, origin []int) {
	out = drift.Visit{T: years(v.Day), Analyzer: -1, Period: -1, Work: v.Parts != "" || v.Reason == judge.AfterRepair}
	out.By = u.b.hands[handOf(v)]
	out.Chosen = v.Reason == judge.CallOut || u.b.technicians.flaggedAt(v)
	out.Adjusted = u.adjusted(v)
	out.Analyzer, out.Period, _ = u.tools.ofVisit(v)
	for _, x := range values {
		r := u.reading(x)
		out.Analyzer, out.Period = r.Analyzer, r.Period
		out.Readings, origin = append(out.Readings, r), append(origin, x.reading)
	}
	return out, origin
}

// handOf names whoever was at a visit.
func handOf(v *judge.Visit) [2]string { return [2]string{v.Source, v.Technician} }

// numberHands numbers the technicians from 1, in the order of histories and visits.
func numberHands(histories []*judge.History) map[[2]string]int {
	hands := map[[2]string]int{}
	for _, h := range histories {
		for i := range h.Visits {
			if k := handOf(&h.Visits[i]); k[1] != "" && hands[k] == 0 {
				hands[k] = len(hands) + 1
			}
		}
	}
	return hands
}

// number numbers what units are named by from 1, in the order of the histories.
func number(histories []*judge.History, name func(*judge.Unit) string) map[string]int {
	out := map[string]int{}
	for _, h := range histories {
		if n := name(&h.Unit); n != "" && out[n] == 0 {
			out[n] = len(out) + 1
		}
	}
	return out
}

// reading makes one reading, as good as it was judged.
func (u *unitSeries) reading(v value) drift.Reading {
	x := &u.h.Readings[v.reading]
	r := drift.Reading{Y: v.y, W: 1 + v.rounded/(drift.TypicalSigma*drift.TypicalSigma), Other: v.other, OtherP: v.otherP}
	if v.tied {
		r.W *= 2
	}
	r.Analyzer, r.Period = u.tools.columns(u.h, x)
	switch x.Condition {
	case judge.AsFound:
		r.Kind = drift.AsFound
	case judge.AsLeft:
		r.Kind = drift.AsLeft
	default:
		r.Kind = drift.Between
	}
	switch v.use {
	case judge.StateOnly:
		r.Use = drift.ForState
	case judge.LeftOut:
		r.Use = drift.ForNone
	}
	return r
}

// changed says what became different from one reading of a fire to the next.
func (u *unitSeries) changed(last, now *judge.Reading) (c drift.Change) {
	if last == nil {
		return 0
	}
	if last.Fuel != now.Fuel {
		c |= drift.ChangeFuel
	}
	if last.VentRun != now.VentRun || now.VentUncertain && !last.VentUncertain {
		c |= drift.ChangeVent
	}
	if !sameTarget(last.Target, now.Target) {
		c |= drift.ChangeTarget
	}
	return c
}

func sameTarget(a, b judge.Target) bool {
	same := func(x, y float64) bool { return x == y || math.IsNaN(x) && math.IsNaN(y) }
	return same(a.CO2Percent, b.CO2Percent) && same(a.O2Percent, b.O2Percent)
}

// unflagged is the series with the as founds of flagged technicians taken out:
// the segment is cut on both sides of them.
func (u *unitSeries) unflagged() drift.Series {
	out := u.s
	out.Visits = slices.Clone(u.s.Visits)
	for v := range out.Visits {
		if !u.b.technicians.flaggedAt(u.visitOf(v)) {
			continue
		}
		out.Visits[v].Readings = slices.Clone(out.Visits[v].Readings)
		for k := range out.Visits[v].Readings {
			if r := &out.Visits[v].Readings[k]; r.Kind == drift.AsFound {
				r.Use = drift.ForNone
			}
		}
	}
	return out
}
