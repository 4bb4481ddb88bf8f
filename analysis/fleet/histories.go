package fleet

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"

	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// historiesOf are the units of the warehouse in order of serials, or the one unit of
// the serial, each with everything known about it on the as-of day.
func historiesOf(ctx context.Context, w *queries.Warehouse, serial string, unused []queries.UnusedCO) (all []*judge.History, err error) {
	names, err := w.FileNames(ctx)
	if err != nil {
		return nil, err
	}
	slices, err := w.Slices(ctx, serial)
	if err != nil {
		return nil, err
	}
	for _, s := range slices {
		j, err := newJoin(ctx, w, s, names)
		if err != nil {
			return nil, err
		}
		j.addUnusedCO(unused)
		all = append(all, j.histories...)
	}
	return all, nil
}

// join puts the histories of one slice of units together: rows of each kind
// come ordered by unit, so each finds its history by the unit's key.
type join struct {
	first     int32 // key of the slice's first unit
	names     map[int32]string
	histories []*judge.History
	targets   map[int32]judge.Target // by the key that readings carry
	visits    []int32                // key of each unit's first visit
}

func newJoin(ctx context.Context, w *queries.Warehouse, s queries.Slice, names map[int32]string) (*join, error) {
	j := &join{first: s.From, names: names, histories: make([]*judge.History, s.Until-s.From), visits: make([]int32, s.Until-s.From)}
	for _, step := range []func(context.Context, *queries.Warehouse, queries.Slice) error{
		j.addUnits, j.addMoves, j.addRuns, j.addFuels, j.addTargets, j.addAnswers, j.addVisits, j.addReadings,
	} {
		if err := step(ctx, w, s); err != nil {
			return nil, err
		}
	}
	return j, nil
}

// of gives the history of a unit.
func (j *join) of(unit int32) *judge.History { return j.histories[unit-j.first] }

// origin names a line of a file by its key.
func (j *join) origin(file, line int32) string {
	return originOf(j.names[file], line)
}

// originOf names a line of a file.
func originOf(file string, line int32) string { return file + ":" + strconv.Itoa(int(line)) }

func (j *join) addUnits(ctx context.Context, w *queries.Warehouse, s queries.Slice) error {
	units, err := w.UnitsIn(ctx, s)
	if err != nil {
		return err
	}
	if len(units) != len(j.histories) {
		return fmt.Errorf("units %d to %d: %d are there", s.From, s.Until-1, len(units))
	}
	for i, u := range units {
		j.histories[i] = &judge.History{Unit: u}
	}
	return nil
}

func (j *join) addRuns(ctx context.Context, w *queries.Warehouse, s queries.Slice) error {
	runs, err := w.VentRuns(ctx, s)
	if err != nil {
		return err
	}
	for _, r := range runs {
		h := j.of(r.UnitKey)
		if int(r.Number) != len(h.VentRuns) {
			return fmt.Errorf("unit %q: vent run %d stands at place %d", h.Unit.Serial, r.Number, len(h.VentRuns))
		}
		h.VentRuns = append(h.VentRuns, r.VentRun)
	}
	return nil
}

func (j *join) addMoves(ctx context.Context, w *queries.Warehouse, s queries.Slice) error {
	moves, err := w.Moves(ctx, s)
	if err != nil {
		return err
	}
	for _, m := range moves {
		m.Origin = j.origin(m.FileKey, m.Line)
		h := j.of(m.UnitKey)
		h.Moves = append(h.Moves, m.Move)
	}
	return nil
}

func (j *join) addFuels(ctx context.Context, w *queries.Warehouse, s queries.Slice) error {
	fuels, err := w.Fuels(ctx, s)
	if err != nil {
		return err
	}
	for _, f := range fuels {
		h := j.of(f.UnitKey)
		h.Fuels = append(h.Fuels, f.FuelPeriod)
	}
	return nil
}

// addTargets keeps the targets of all days for the readings and gives each
// history those in force on the as-of day.
func (j *join) addTargets(ctx context.Context, w *queries.Warehouse, s queries.Slice) error {
	targets, err := w.Targets(ctx, s)
	if err != nil {
		return err
	}
	j.targets = make(map[int32]judge.Target, len(targets)+1)
	j.targets[0] = noTarget
	for i := range targets {
		t := &targets[i]
		j.targets[t.Key] = t.Target
		h := j.of(t.UnitKey)
		if t.Fuel == h.Unit.Fuel && inForce(t.From, t.Until, w.AsOf()) && t.Declared() {
			h.Targets = append(h.Targets, judge.FireTarget{Fire: t.Fire, Target: t.Target})
		}
	}
	return nil
}

// noTarget is what a reading has that nothing was declared for.
var noTarget = judge.Target{
	CO2Percent: math.NaN(), O2Percent: math.NaN(), SetRich: math.NaN(), SetLean: math.NaN(),
	ActRich: math.NaN(), ActLean: math.NaN(), LongestRunM: math.NaN(), FanPa: math.NaN(),
}

// inForce tells whether a day lies in a half-open stretch of days.
func inForce(from, until, d day.Day) bool {
	return (from == day.None || d >= from) && (until == day.None || d < until)
}

func (j *join) addAnswers(ctx context.Context, w *queries.Warehouse, s queries.Slice) error {
	answers, err := w.Answers(ctx, s)
	if err != nil {
		return err
	}
	for _, a := range answers {
		h := j.of(a.UnitKey)
		h.Answers = append(h.Answers, a.Answer)
	}
	return nil
}

// addVisits relies on visit keys without gaps in the order of units and days.
func (j *join) addVisits(ctx context.Context, w *queries.Warehouse, s queries.Slice) error {
	var room []judge.Visit
	var h *judge.History
	keep := func() {
		if h != nil {
			h.Visits, room = slices.Clone(room), room[:0]
		}
	}
	for v, err := range w.Visits(ctx, s) {
		if err != nil {
			return err
		}
		if next := j.of(v.UnitKey); next != h {
			keep()
			h, j.visits[v.UnitKey-j.first] = next, v.Key
		}
		v.Origin = j.origin(v.FileKey, v.Line)
		room = append(room, v.Visit)
	}
	keep()
	return nil
}

// addUnusedCO gives each history the CO on its records that could not be used.
func (j *join) addUnusedCO(all []queries.UnusedCO) {
	until := j.first + int32(len(j.histories))
	for i := range all {
		if u := &all[i]; u.UnitKey >= j.first && u.UnitKey < until && u.UnitKey > 0 {
			h := j.of(u.UnitKey)
			h.UnusedCO = append(h.UnusedCO, u.UnusedCO)
		}
	}
}

// addReadings gathers the readings of a unit before it keeps them: most of what a fleet
// takes of memory are readings, and none is taken for one that is not there.
func (j *join) addReadings(ctx context.Context, w *queries.Warehouse, s queries.Slice) error {
	var room []judge.Reading
	var h *judge.History
	keep := func() {
		if h != nil {
			h.Readings, room = slices.Clone(room), room[:0]
		}
	}
	for r, err := range w.Readings(ctx, s) {
		if err != nil {
			return err
		}
		if next := j.of(r.UnitKey); next != h {
			keep()
			h = next
		}
		visit := int(r.VisitKey - j.visits[r.UnitKey-j.first])
		if visit < 0 || visit >= len(h.Visits) {
			return fmt.Errorf("unit %q: the reading of %s has no visit", h.Unit.Serial, j.origin(r.FileKey, r.Line))
		}
		r.Visit, r.Target, r.Origin = visit, j.targets[r.TargetKey], j.origin(r.FileKey, r.Line)
		room = append(room, r.Reading)
	}
	keep()
	return nil
}
