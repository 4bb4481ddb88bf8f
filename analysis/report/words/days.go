package words

import (
	"fmt"
	"math"

	"fluedrift/analysis/days"
	"fluedrift/analysis/report/units"
)

// Days is the plan in one sentence.
func Days(p *days.Plan) string {
	c := p.Compared[0]
	must := 0
	for _, l := range p.Left {
		if l.Must {
			must++
		}
	}
	s := fmt.Sprintf("%s to %s: %s on %s, %s of driving, about %.0f boiler-days out of limits avoided.",
		Day(p.From), Day(p.Until-1), Units(c.Units), Counted(c.CrewDays, "crew day"), Hours(c.DriveMinutes), c.GainDays)
	if must > 0 {
		s += fmt.Sprintf(" Units that have to be seen or are promised and found no day: %d; see what is left over.", must)
	}
	return s
}

// DaysNotes say what a plan rests on.
func DaysNotes(in units.Set, p *days.Plan) []string {
	r := &p.Rules
	notes := []string{
		fmt.Sprintf("Drives: great-circle distance times %g at %s, unless the table of drives has them.", r.Detour, in.SpeedOf(r.KmPerHour)),
		fmt.Sprintf("Days avoided: those out of limits that a visit is expected to avoid within %d days, or until the planned day "+
			"where that is less.", r.Visit.UnseenDays),
		"The plan is a proposal to edit: who goes where is decided by people.",
	}
	if p.Assumed > 0 {
		notes = append(notes, fmt.Sprintf("Planned units without a forecast: %d; what their visits avoid is taken from their "+
			"reason alone.", p.Assumed))
	}
	if p.StoodIn > 0 {
		notes = append(notes, fmt.Sprintf("Stops without coordinates of their own: %d; their drives are those of the site, else of "+
			"the middle of the area, else assumed.", p.StoodIn))
	}
	return notes
}

// plannedWhy are what brings a unit into a plan.
var plannedWhy = map[days.Why]string{
	days.HasToBeSeen:   "has to be seen",
	days.Promised:      "promised",
	days.Due:           "due",
	days.PulledForward: "test pulled forward",
}

// PlannedWhy says what brought a unit into a plan.
func PlannedWhy(w days.Why) string { return plannedWhy[w] }

// LeftWhy says why a unit is not in a plan.
func LeftWhy(left *days.Left) string {
	l, c := left.Line, &left.Why
	switch c.Kind {
	case days.PromisedLater:
		return "promised for " + Day(c.Day) + ", after these weeks"
	case days.LeftRemoved:
		return "recorded as removed"
	case days.LeftAtFoot:
		return Foot(l)
	case days.LeftAskFirst:
		return "ask first: " + briefly(l)
	case days.LeftToPlan:
		return "can wait for its planned visit on " + Day(l.PlannedDay)
	case days.LeftNoCrew:
		return fmt.Sprintf("no crew works in area %q within these weeks", c.Area)
	case days.LeftNoAbleCrew:
		return fmt.Sprintf("no crew of area %q works on %s, %s", c.Area, c.Fuel, c.OfModel)
	case days.LeftPromiseNoCrew:
		return "promised for " + Day(c.Day) + ", when no crew that may go there works"
	}
	return noRoom(c)
}

// noRoom says why no day has room for a unit that a crew could see.
func noRoom(c *days.Cause) string {
	switch c.Kind {
	case days.LeftLittleGain:
		return fmt.Sprintf("avoids under %g days out of limits: not worth the drive", c.LeastDays)
	case days.LeftTooLong:
		return fmt.Sprintf("%s on site and the drive fit in no crew's day within the site's hours", Hours(c.Minutes))
	case days.LeftPromiseFull:
		return "promised for " + Day(c.Day) + ", and no longer fits beside what else was promised for that day"
	case days.LeftMustFull:
		return "has to be seen, and all days are full of what has to be seen: more crews or weeks are needed"
	case days.LeftNoRoom:
		return fmt.Sprintf("no room: other visits avoid more for the time (here %.1f days for at least %s)", c.GainDays, Hours(c.Minutes))
	case days.LeftBeyondMost:
		return "other visits avoid more for the time"
	}
	return ""
}

// DaysWay names a way of filling the same days.
func DaysWay(c *days.Compared) string {
	return [...]string{
		days.ThisPlan: "this plan", days.ByLastVisit: "in order of last visit day", days.ByPlace: "in the list's order",
	}[c.Way]
}

// StandIn names what stands in for the coordinates of a stop; "" where it has its own.
func StandIn(s *days.Stop) string {
	switch s.PlaceFrom {
	case days.OfSite:
		return "another unit of the site"
	case days.MiddleOfArea:
		return "the middle of area " + s.Area
	case days.NoPlace:
		return "nothing: neither site nor area has coordinates"
	}
	return ""
}

// Hours writes a length of time in hours and minutes, to the nearest minute.
func Hours(minutes float64) string {
	m := int(math.Round(minutes))
	switch {
	case m < 60:
		return fmt.Sprintf("%d min", m)
	case m%60 == 0 || m >= 600: // of a long one the minutes say nothing
		return fmt.Sprintf("%.0f h", math.Round(minutes/60))
	}
	return fmt.Sprintf("%d h %02d min", m/60, m%60)
}

// MostlyDriving marks a day on which a crew drives longer than it works on burners; ""
// for any other.
func MostlyDriving(d *days.CrewDay) string {
	if d.DriveMinutes > d.OnSiteMinutes {
		return "more driving than work"
	}
	return ""
}

// Clock writes minutes of the day as hh:mm, to the nearest minute.
func Clock(minutes float64) string {
	if math.IsNaN(minutes) {
		return ""
	}
	m := int(math.Round(minutes))
	return fmt.Sprintf("%02d:%02d", m/60, m%60)
}
