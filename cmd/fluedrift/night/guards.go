package night

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// guards look at what a night has read and made, in the order of its steps, and
// keep what they find. An error refuses the night.
type guards struct {
	*evidence
	*findings
}

// exports ends a night that must not replace the last list.
func (g guards) exports(ctx context.Context, w *queries.Warehouse) error {
	ours := 0
	for _, f := range g.inputs {
		if f.ours() {
			ours++
		}
	}
	if ours == 0 {
		return settings.Fail(settings.NoInput, "no file in %s fits a layout of %s\nsee: fluedrift help",
			g.Config.Path(g.Config.Exports.Folder), g.Config.Path(g.Config.Exports.Layouts))
	}
	g.note(g.clockNotes()...)
	if err := g.settle(g.clockBehind()); err != nil {
		return err
	}
	if err := g.settle(guardInputs(g.Config, g.inputs, g.last)); err != nil {
		return err
	}
	g.note(openQuotes(g.aside, g.mended)...)
	if err := g.shrunk(); err != nil {
		return err
	}
	g.note(silentSources(g.Config, g.inputs, g.asOf)...)
	if err := g.rhythm(ctx, w); err != nil {
		return err
	}
	if err := g.serials(ctx, w); err != nil {
		return err
	}
	checks, err := w.Checks(ctx)
	if err != nil {
		return err
	}
	return g.settle(guardChecks(checks))
}

// shrunk ends a night in which an export has far fewer usable lines than it
// had.
func (g guards) shrunk() error {
	shrank := shrunkExports(g.evidence)
	noteShrunk(g.evidence, shrank)
	return g.settle(shrunkFaults(g.Config, shrank))
}

// rhythm notes the sources that have written nothing for too long.
func (g guards) rhythm(ctx context.Context, w *queries.Warehouse) error {
	days, err := w.RecordDays(ctx)
	if err != nil {
		return err
	}
	g.silent = silentOn(g.Config, days, g.asOf)
	for _, s := range g.silent {
		g.note(s.note(g.asOf))
	}
	return nil
}

// serials compares the serials of records with those of the registers, and
// registers with each other.
func (g guards) serials(ctx context.Context, w *queries.Warehouse) error {
	ask, refuse := g.strangers()
	g.ask(ask)
	registers := map[string]bool{}
	for _, f := range g.inputs {
		if f.Record == "units" && f.Outcome == "read" {
			registers[f.Layout] = true
		}
	}
	if len(registers) > 1 {
		pairs, err := w.RegisterPairs(ctx)
		if err != nil {
			return err
		}
		refuse = append(refuse, g.contradictingRegisters(pairs)...)
	}
	return g.settle(refuse)
}

// histories looks at the records of all units: how old the newest is, and
// whether readings are gone.
func (g guards) histories(histories []*judge.History) error {
	newest := day.None
	g.readings = 0
	for _, h := range histories {
		for _, v := range h.Visits {
			newest = max(newest, v.Day)
		}
		g.readings += int64(len(h.Readings))
	}
	if err := g.tooOld(newest); err != nil {
		return err
	}
	return g.settle(g.lostReadings())
}

// fleet asks whether so much of the fleet looks out of limits that a target, a
// layout, a conversion or the day is likelier wrong than the burners, and gives that
// as the cause to be named at the head of the list; "" where nothing says so. A
// column whose readings jumped since the last publication refuses the night.
func (g guards) fleet(lines []watch.Line, r watch.Config) (cause string, err error) {
	column, err := g.columnOf()
	if err != nil {
		return "", err
	}
	g.medians = watch.Medians(lines, r, column)
	if g.comparable() {
		if err := g.settle(g.jumpedColumns()); err != nil {
			return "", err
		}
	}
	faults := g.farColumns()
	faults = append(faults, g.manyOut(lines, r, len(faults) > 0)...)
	faults = append(faults, g.oneSided()...)
	faults = append(faults, g.oldRecords(lines)...)
	g.ask(faults)
	var causes []string
	for _, f := range faults {
		causes = append(causes, f.text)
	}
	return strings.Join(causes, " "), nil
}

// units compares the units of this night with those of the last publication:
// who was never read, who changed group, whom a register removed.
func (g guards) units(s watch.Summary, lines []watch.Line, rules watch.Config) error {
	g.ask(g.manyUnread(s))
	if g.last == nil || !g.comparable() {
		return nil
	}
	faults := g.moreUnread(s)
	earlier, err := ReadList(filepath.Join(g.folder, g.last.AsOf), "watchlist")
	if err != nil {
		return fmt.Errorf("cannot compare with the last publication: %w", err)
	}
	before := lists.EarlierLines(earlier, rules)
	if g.last.Schema >= firstGroups {
		g.ask(g.movedGroups(lines, before))
	}
	return g.settle(append(faults, g.removedUnits(lines, before)...))
}

// firstGroups is the schema from which lists have groups: those before cannot be
// compared by them.
const firstGroups = 4

// smallList is a length from which a change of a list is no accident.
const smallList = 10

// lists compares the lists that were made with those of the last
// publication: their sizes, and how the fits ended.
func (g guards) lists(l *Lists) error {
	if !g.comparable() {
		return nil
	}
	var found []fault
	for _, size := range []struct {
		what    string
		is, was int64
	}{
		{"units listed", int64(l.Summary.Listed), g.last.Counts["units listed"]},
		{"units due for attention", dueUnits(l.Summary), g.last.Counts["units due"]},
	} {
		moved := size.is - size.was
		if max(moved, -moved) < smallList || float64(max(moved, -moved)) <= g.Config.Guards.MaxListChange*float64(size.was) {
			continue
		}
		found = append(found, fault{"list size", fmt.Sprintf("%d %s, %d in the last publication: the change is over "+
			"guards.max_list_change = %g\nif it is right, set guards.tolerate = [\"list size\"] for one night",
			size.is, size.what, size.was, g.Config.Guards.MaxListChange)})
	}
	return g.settle(append(found, g.fellBack()...))
}
