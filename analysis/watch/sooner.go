package watch

import (
	"math"

	"fluedrift/analysis"
	"fluedrift/model/day"
)

// bookLine is from how many days out of limits avoided a unit is booked sooner; booked
// says that the list before did, so that a smaller number holds.
func bookLine(x *facts) (days float64, booked bool) {
	if x.rules.Booked[x.h.Unit.Serial] {
		return math.Min(x.rules.StayDays, x.rules.BookDays), true
	}
	return x.rules.BookDays, false
}

// enough reports whether a visit now avoids enough days out of limits, in whole days
// as they are displayed. Known is false where no forecast says so.
func enough(x *facts) (is, known bool) {
	if math.IsNaN(x.benefit.Days) {
		return false, false
	}
	line, _ := bookLine(x)
	return math.Round(x.benefit.Days) >= line, true
}

// sooner books a unit sooner for a reason that a visit now may do something about;
// where it would avoid too little it can wait, and the reason says so.
func sooner(x *facts, f finding) finding {
	f.group = BookSooner
	if is, known := enough(x); known && !is {
		f.group, f.reason = CanWait, BelowLine{
			Of: f.reason, Days: x.benefit.Days, LineDays: x.rules.BookDays, BackInside: day.None, WorthFrom: day.None,
		}
	}
	return f
}

// lookAhead adds why a visit now gains little, and when it would gain more.
func (b BelowLine) lookAhead(x *facts) BelowLine {
	if out, is := b.Of.(OutNow); is {
		b.BackInside = backInside(out.Fire, x.rules.outProbability())
	}
	for _, on := range x.forecast.HarmDays() {
		if on <= x.rules.AsOf || on >= x.plan.PlannedDay {
			continue
		}
		if later, _ := x.forecast.Benefit(on, x.plan.PlannedDay, x.rules.Visit); math.Round(later.Days) >= b.LineDays {
			b.WorthFrom = on
			break
		}
	}
	return b
}

// backInside is the day from which a fire is likelier inside its limits than not
// although nobody came; day.None where none is in sight.
func backInside(f *analysis.FireForecast, out float64) day.Day {
	for i := range f.Harm {
		if f.Harm[i].Without.Out() < out {
			return f.Harm[i].Day
		}
	}
	return day.None
}

// nearLine is the part of the days from which a unit is booked sooner from where on one
// that can wait says what it is below.
const nearLine = 0.5

// enoughAvoided: a visit now avoids enough days out of limits, or nearly so, whether or
// not a fire is likelier out of them than not on any day.
func enoughAvoided(x *facts) finding {
	f, c := worstFire(x.forecast, decided(ahead))
	if f == nil || !(math.Round(x.benefit.Days) >= nearLine*x.rules.BookDays) {
		return finding{}
	}
	return sooner(x, finding{reason: OutPerhaps{Fire: f, Worst: c}, side: SideOf(c)})
}

// BookedIn are the serials that a list booked sooner.
func BookedIn(lines []Earlier) map[string]bool {
	booked := map[string]bool{}
	for i := range lines {
		if e := &lines[i]; e.Group == BookSooner && e.Foot == "" {
			booked[e.Serial] = true
		}
	}
	return booked
}

// StillBooked lists the serials of lines that are booked sooner only because the list
// before did.
func StillBooked(lines []Line) (serials []string) {
	for i := range lines {
		if l := &lines[i]; l.StillBooked {
			serials = append(serials, l.Unit.Serial)
		}
	}
	return serials
}

// SetOf is a set of serials.
func SetOf(serials []string) map[string]bool {
	set := make(map[string]bool, len(serials))
	for _, s := range serials {
		set[s] = true
	}
	return set
}
