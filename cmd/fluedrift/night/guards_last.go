package night

import (
	"fmt"
	"strings"

	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// guardChecks finds the checks of the warehouse that have rows.
func guardChecks(checks []queries.Check) (found []fault) {
	for _, c := range checks {
		if c.Wrong > 0 {
			found = append(found, fault{"checks", fmt.Sprintf("check %s has %s: %s\nsee the exports these rows are from; guards.tolerate = [\"checks\"] publishes all the same",
				c.Name, Count(int(c.Wrong), "row"), firstThree(c.First))})
		}
	}
	return found
}

// silentSources notes layouts whose newest export is older than allowed: the
// others may be fresh and hide it.
func silentSources(c *settings.Config, now []Input, asOf int32) (notes []string) {
	limit := c.Guards.MaxSourceAgeDays
	if limit == 0 {
		return nil
	}
	newest := map[string]int32{}
	var order []string
	for _, f := range now {
		day, err := settings.DayOf(f.ExportDay)
		if err != nil || f.Outcome != "read" && f.Outcome != "same bytes" {
			continue
		}
		if _, seen := newest[f.Layout]; !seen {
			order = append(order, f.Layout)
			newest[f.Layout] = day
		}
		newest[f.Layout] = max(newest[f.Layout], day)
	}
	for _, layout := range order {
		if age := asOf - newest[layout]; age > int32(limit) {
			notes = append(notes, fmt.Sprintf("the newest export of layout %q is of %s, %d days old: more than guards.max_source_age_days = %d", layout, settings.DayText(newest[layout]), age, limit))
		}
	}
	return notes
}

// clockJump is how many days the as-of day may move from one publication to the
// next before the clock is doubted.
const clockJump = 31

// clockBehind finds exports of a later day than the clock's: the clock is wrong.
func (n *Night) clockBehind() []fault {
	if !n.ByClock {
		return nil
	}
	for _, f := range n.inputs {
		if d, err := settings.DayOf(f.ExportDay); err == nil && d > n.AsOf+1 { // an export may come from east of here
			return []fault{{"clock", fmt.Sprintf("the clock says %s and %s is of %s\nset the clock of this machine", settings.DayText(n.AsOf), f.Name, f.ExportDay)}}
		}
	}
	return nil
}

// clockNotes doubts the clock where the day is taken from it.
func (n *Night) clockNotes() []string {
	if !n.ByClock || n.last == nil {
		return nil
	}
	was, err := settings.DayOf(n.last.AsOf)
	if err != nil {
		return nil
	}
	switch moved := n.AsOf - was; {
	case moved < 0:
		return []string{fmt.Sprintf("the clock says %s, before the last publication's %s: one of the two was made by a wrong clock", settings.DayText(n.AsOf), n.last.AsOf)}
	case moved > clockJump:
		return []string{fmt.Sprintf("the clock says %s, %d days after the last publication: nights were missed, or the clock is wrong", settings.DayText(n.AsOf), moved)}
	}
	return nil
}

// guardHistories looks at the records of all units: how old the newest is, and
// whether readings are gone.
func (n *Night) guardHistories(histories []*judge.History) error {
	newest := judge.NoDay
	n.readings = 0
	for _, h := range histories {
		for _, v := range h.Visits {
			newest = max(newest, v.Day)
		}
		n.readings += int64(len(h.Readings))
	}
	if err := n.guardAge(newest); err != nil {
		return err
	}
	return n.settle(n.lostReadings())
}

// guardAge ends a night whose newest record or export is too old.
func (n *Night) guardAge(newest int32) error {
	limit := n.Config.Guards.MaxAgeDays
	if limit == 0 {
		return nil
	}
	for _, f := range n.inputs {
		if d, err := settings.DayOf(f.ExportDay); err == nil && f.Outcome == "read" && d <= n.AsOf {
			newest = max(newest, d)
		}
	}
	if newest == judge.NoDay {
		return settings.Fail(settings.NoInput, "no record in the exports is of %s or before, and guards.max_age_days = %d asks for one\nbring the exports of that time, or ask for a later day", settings.DayText(n.AsOf), limit)
	}
	if n.AsOf-newest > int32(limit) {
		return settings.Fail(settings.NoInput, "the newest record is of %s, %d days before %s: more than guards.max_age_days = %d\nbring newer exports, or raise the limit",
			settings.DayText(newest), n.AsOf-newest, settings.DayText(n.AsOf), limit)
	}
	return nil
}

// comparable says whether the last publication speaks for no later day: a list
// for a day of the past holds less by right.
func (n *Night) comparable() bool { return n.last != nil && n.last.AsOf <= settings.DayText(n.AsOf) }

// lostReadings finds that readings of the last publication are gone.
func (n *Night) lostReadings() []fault {
	if !n.comparable() {
		return nil
	}
	was := n.last.Counts["readings"]
	if lost := was - n.readings - n.missingFiles(); float64(lost) > n.Config.Guards.MaxReadingsLost*float64(was) {
		return []fault{{"readings", fmt.Sprintf("%d of the %d readings of the last publication are gone: more than guards.max_readings_lost = %g\nfind the export that lost them, or set guards.tolerate = [\"readings\"] for one night",
			lost, was, n.Config.Guards.MaxReadingsLost)}}
	}
	return nil
}

// missingFiles counts the readings of files that the last publication had and
// this night has not: another guard speaks of them.
func (n *Night) missingFiles() (readings int64) {
	byName, byDigest := index(n.inputs)
	for _, old := range n.last.Inputs {
		file, named := byName[old.Name]
		if _, there := byDigest[old.Digest]; !there && (!named || file.Outcome != "read") {
			readings += old.Readings
		}
	}
	return readings
}

// smallList is a length from which a change of a list is no accident.
const smallList = 10

// guardLists compares the lists that were made with those of the last
// publication: their sizes, and how the fits ended.
func (n *Night) guardLists(l *Lists) error {
	if !n.comparable() {
		return nil
	}
	var found []fault
	for _, size := range []struct {
		what    string
		is, was int64
	}{{"units listed", int64(l.Summary.Listed), n.last.Counts["units listed"]}, {"units due for attention", dueUnits(l.Summary), n.last.Counts["units due"]}} {
		moved := size.is - size.was
		if max(moved, -moved) < smallList || float64(max(moved, -moved)) <= n.Config.Guards.MaxListChange*float64(size.was) {
			continue
		}
		found = append(found, fault{"list size", fmt.Sprintf("%d %s, %d in the last publication: the change is over guards.max_list_change = %g\nif it is right, set guards.tolerate = [\"list size\"] for one night",
			size.is, size.what, size.was, n.Config.Guards.MaxListChange)})
	}
	return n.settle(append(found, n.fellBack()...))
}

// fellBack finds fits that could not be made as the last publication's were.
func (n *Night) fellBack() (found []fault) {
	guard := ""
	if n.Config.Guards.FitMustHold {
		guard = "fit"
	}
	for _, was := range n.last.Fits {
		if was.Ratios == nil {
			continue
		}
		now := "not made at all"
		for _, f := range n.fits {
			if f.Fire == was.Fire {
				now = f.Ended
			}
			if f.Fire == was.Fire && f.Ratios != nil {
				now = ""
			}
		}
		if now != "" {
			now, _, _ = strings.Cut(now, "\n")
			found = append(found, fault{guard, fmt.Sprintf("the fit of %s fire fell back: its ratios were estimated in the last publication and are not now (%s)\nguards.fit_must_hold decides whether such a night publishes", was.Fire, now)})
		}
	}
	return found
}
