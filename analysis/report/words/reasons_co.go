package words

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// coFound says that a CO was found; more ends the sentence.
func coFound(r watch.COFound, more string) []string {
	f := r.Fire
	from := plain(r.FromPPM)
	reason := fmt.Sprintf("%s: %s on %s", Capital(fireLine(f)), CO(&f.CO), Day(f.CO.Day))
	switch {
	case f.CO.Level == watch.COAttention:
		reason += ", for attention from " + from + " ppm"
	case f.CO.Scarce:
		reason += ", with next to no oxygen left: the burner may be rich of stoichiometric, and a CO2 in band shows nothing"
	case f.CO.NoBand:
		reason += ", at low fire of a unit whose setting band nobody knows: rich of it that is urgent from " + from + " ppm"
	case f.CO.LowRich:
		reason += ", and rich of its setting band: at low fire that is urgent from " + from + " ppm"
	default:
		reason += ", urgent from " + from + " ppm"
	}
	if f.CO.Level == watch.COUrgent {
		reason += readAgo(f.CO.Day, r.AsOf)
	}
	if f.COOlder {
		reason += "; no CO recorded at this fire since"
	}
	return []string{reason + more + "."}
}

// coUnusable says that a CO stands on a record that could not be used; more ends the
// first sentence.
func coUnusable(r watch.COUnusable, more string) []string {
	u, level := r.CO, "for attention"
	if u.Level == watch.COUrgent {
		level = "urgent"
		more = readAgo(u.LatestDay, r.AsOf) + more
	}
	return []string{
		fmt.Sprintf("%s (%s): at least that much air-free, %s from %s ppm%s.", unusedCO(u), unusedAbout(u), level, plain(r.FromPPM), more),
		"Correct the record, or test the unit at every fire.",
	}
}

// unusedAbout names fire and day of a record that could not be used, and why it could
// not, once where that is the day.
func unusedAbout(u *watch.UnusedCO) string {
	when, why := unusedWhen(u), unusedWhy(u)
	if strings.HasSuffix(when, why) {
		return when
	}
	return when + "; " + why
}

// unusedWhen names fire and day of a record that could not be used, as far as they
// can be read.
func unusedWhen(u *watch.UnusedCO) string {
	d := "day not readable"
	if u.Day != day.None {
		d = Day(u.Day)
	}
	if u.Fire == "" {
		return d
	}
	return FireLabel(u.Fire, math.NaN()) + ", " + d
}

// unusedWhy is why a record could not be used.
func unusedWhy(u *watch.UnusedCO) string { return strings.ReplaceAll(u.Reason, "-", " ") }

func coNotRecorded(r watch.CONotRecorded) []string {
	if len(r.Fires) == 0 {
		return one("No CO on record from its last visit on %s: ask for it and enter it.", Day(r.Day))
	}
	return one("No CO on record at %s from its last visit on %s: ask for it and enter it.", fires(r.Fires), Day(r.Day))
}

// readAgo says how long ago a day was; nothing under a month.
func readAgo(d, asOf day.Day) string {
	const month = 31
	if d == day.None || asOf-d < month {
		return ""
	}
	return "; read " + span(int32(asOf-d)) + " ago"
}

// urgentInState says what the state of a unit makes of an urgent CO.
func urgentInState(state judge.State) string {
	switch state {
	case judge.Isolated:
		return "; recorded as isolated: make sure that it stays so until it is seen"
	case judge.OffForTheSeason:
		return "; recorded as off for the season: it must be seen before it is started again"
	}
	return ""
}

// askedFor says since when lists have asked to see to an urgent CO.
func askedFor(l *watch.Line) string {
	switch {
	case l.AskedSince == day.None:
		return ""
	case l.AskedSince == asOfReason(l.Reasons[0]):
		return "; first asked for on this list"
	}
	return "; asked for since the list of " + Day(l.AskedSince)
}

// asOfReason is the day of the list that found a CO.
func asOfReason(r watch.Reason) day.Day {
	switch r := r.(type) {
	case watch.COFound:
		return r.AsOf
	case watch.COUnusable:
		return r.AsOf
	}
	return day.None
}
