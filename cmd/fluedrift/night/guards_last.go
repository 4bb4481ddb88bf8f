package night

import (
	"fmt"
	"strings"

	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/day"
	"fluedrift/queries"
)

// guardChecks finds the checks of the warehouse that have rows.
func guardChecks(checks []queries.Check) (found []fault) {
	for _, c := range checks {
		if c.Wrong > 0 {
			found = append(found, fault{"checks", fmt.Sprintf("check %s has %s: %s\nlook at the exports of these rows; "+
				"guards.tolerate = [\"checks\"] publishes all the same",
				c.Name, Count(int(c.Wrong), "row"), firstThree(c.First))})
		}
	}
	return found
}

// silentSources notes layouts whose newest export is older than allowed: the
// others may be fresh and hide it.
func silentSources(c *settings.Config, now []Input, asOf day.Day) (notes []string) {
	limit := c.Guards.MaxSourceAgeDays
	if limit == 0 {
		return nil
	}
	newest := map[string]day.Day{}
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
		if age := int32(asOf - newest[layout]); age > int32(limit) {
			notes = append(notes, fmt.Sprintf("the newest export of layout %q is of %s, %d days old: more than "+
				"guards.max_source_age_days = %d", layout, settings.DayText(newest[layout]), age, limit))
		}
	}
	return notes
}

// clockJump is how many days the as-of day may move from one publication to the
// next before the clock is doubted.
const clockJump = 31

// clockBehind finds exports of a later day than the clock's: the clock is wrong.
func (e *evidence) clockBehind() []fault {
	if !e.byClock {
		return nil
	}
	for _, f := range e.inputs {
		if d, err := settings.DayOf(f.ExportDay); err == nil && d > e.asOf+1 { // an export may come from east of here
			return []fault{{"clock", fmt.Sprintf("the clock says %s and %s is of %s\nset the clock of this machine",
				settings.DayText(e.asOf), f.Name, f.ExportDay)}}
		}
	}
	return nil
}

// clockNotes doubts the clock where the day is taken from it.
func (e *evidence) clockNotes() []string {
	if !e.byClock || e.last == nil {
		return nil
	}
	was, err := settings.DayOf(e.last.AsOf)
	if err != nil {
		return nil
	}
	switch moved := int32(e.asOf - was); {
	case moved < 0:
		return []string{fmt.Sprintf("the clock says %s, before the last publication's %s: one of the two clocks was "+
			"wrong", settings.DayText(e.asOf), e.last.AsOf)}
	case moved > clockJump:
		return []string{fmt.Sprintf("the clock says %s, %d days after the last publication: nights were missed, or "+
			"the clock is wrong", settings.DayText(e.asOf), moved)}
	}
	return nil
}

// tooOld is the end of a night whose newest record or export is too old.
func (e *evidence) tooOld(newest day.Day) error {
	limit := e.Config.Guards.MaxAgeDays
	if limit == 0 {
		return nil
	}
	for _, f := range e.inputs {
		if d, err := settings.DayOf(f.ExportDay); err == nil && f.Outcome == "read" && d <= e.asOf {
			newest = max(newest, d)
		}
	}
	if newest == day.None {
		return settings.Fail(settings.NoInput, "no record in the exports is of %s or before, and guards.max_age_days "+
			"= %d asks for one\nbring the exports of that time, or ask for a later day", settings.DayText(e.asOf), limit)
	}
	if int32(e.asOf-newest) > int32(limit) {
		return settings.Fail(settings.NoInput, "the newest record is of %s, %d days before %s: more than "+
			"guards.max_age_days = %d\nbring newer exports, or raise the limit",
			settings.DayText(newest), int32(e.asOf-newest), settings.DayText(e.asOf), limit)
	}
	return nil
}

// comparable says whether the last publication speaks for no later day: a list
// for a day of the past holds less by right.
func (e *evidence) comparable() bool { return e.last != nil && e.last.AsOf <= settings.DayText(e.asOf) }

// lostReadings finds that readings of the last publication are gone.
func (e *evidence) lostReadings() []fault {
	if !e.comparable() {
		return nil
	}
	was := e.last.Counts["readings"]
	if lost := was - e.readings - e.missingFiles(); float64(lost) > e.Config.Guards.MaxReadingsLost*float64(was) {
		return []fault{{"readings", fmt.Sprintf("%d of the %d readings of the last publication are gone: more than "+
			"guards.max_readings_lost = %g\nfind the export that lost them, or set guards.tolerate = [\"readings\"] for one night",
			lost, was, e.Config.Guards.MaxReadingsLost)}}
	}
	return nil
}

// missingFiles counts the readings of files that the last publication had and
// this night has not: another guard speaks of them.
func (e *evidence) missingFiles() (readings int64) {
	byName, byDigest := index(e.inputs)
	for _, old := range e.last.Inputs {
		file, named := byName[old.Name]
		if _, there := byDigest[old.Digest]; !there && (!named || file.Outcome != "read") {
			readings += old.Readings
		}
	}
	return readings
}

// fellBack finds fits that could not be made as the last publication's were.
func (e *evidence) fellBack() (found []fault) {
	guard := ""
	if e.Config.Guards.FitMustHold {
		guard = "fit"
	}
	for _, was := range e.last.Fits {
		if was.Ratios == nil {
			continue
		}
		now := "not made at all"
		for _, f := range e.fits {
			if f.Fire == was.Fire {
				now = f.Ended
			}
			if f.Fire == was.Fire && f.Ratios != nil {
				now = ""
			}
		}
		if now != "" {
			now, _, _ = strings.Cut(now, "\n")
			found = append(found, fault{guard, fmt.Sprintf("the fit of %s fire fell back: its ratios were estimated "+
				"in the last publication and are not now (%s)\nguards.fit_must_hold decides whether such a night publishes",
				was.Fire, now)})
		}
	}
	return found
}
