package words

import (
	"math"
	"strconv"

	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// CO names a CO as a sentence's subject wants it: "CO 530 ppm air-free"; "" where
// there is none.
func CO(c *watch.CO) string {
	switch {
	case c.Unused != nil:
		return unusedCO(c.Unused)
	case c.Day == day.None:
		return ""
	case math.IsNaN(c.AirFreePPM) && c.Limit == judge.Above:
		return "CO over the analyzer's range"
	case math.IsNaN(c.AirFreePPM):
		return "CO not recorded"
	case c.NoBurner:
		return "CO " + plain(c.AirFreePPM) + " ppm as recorded"
	}
	w := "CO "
	switch {
	case c.Limit == judge.Below:
		w += "below "
	case c.Limit == judge.Above:
		w += "over "
	case c.AtLeast:
		w += "at least "
	}
	return w + wholePPM(c.AirFreePPM) + " air-free"
}

// COLevel names a level of CO.
func COLevel(l watch.Level) string {
	return [...]string{
		watch.COUnknown: "not recorded", watch.COBelow: "below attention", watch.COAttention: "attention", watch.COUrgent: "urgent",
	}[l]
}

// unusedCO names a CO and its record: "CO 900 ppm on a record that could not be
// used, north.csv:9".
func unusedCO(u *watch.UnusedCO) string {
	return UnusedCO(u) + " on a record that could not be used, " + u.Origin
}

// UnusedCO names a CO on a record that could not be used as it is recorded, and
// air-free where it could be converted.
func UnusedCO(u *watch.UnusedCO) string {
	w := "CO "
	switch {
	case u.Unreadable() && u.Text != "":
		return "CO " + strconv.Quote(u.Text)
	case u.Unreadable():
		return "CO that cannot be placed"
	case math.IsNaN(u.COPPM):
		return "CO over the analyzer's range"
	case u.COLimit == judge.Above:
		w += "over "
	case u.COLimit == judge.Below:
		w += "below "
	}
	w += wholePPM(u.COPPM)
	if math.Round(u.PPM) > math.Round(u.COPPM) {
		w += " (" + wholePPM(u.PPM) + " air-free)"
	}
	return w
}

func wholePPM(v float64) string { return strconv.FormatFloat(math.Round(v), 'f', -1, 64) + " ppm" }

// EntryCO names the CO of an entry; "" without one.
func EntryCO(e *watch.Entry) string {
	if e.Unused != nil {
		return UnusedCO(e.Unused)
	}
	return CO(&e.CO)
}

// COFire names the fire of the worst CO of a line; "" without one.
func COFire(l *watch.Line) string {
	if l.CO.Unused == nil && l.CO.Day == day.None {
		return ""
	}
	return fireAt(l.COFire)
}

// CORecordFire names the fire of a row of the list of CO.
func CORecordFire(c *watch.CORecord) string {
	if c.CO.Unused != nil && c.Fire.Fire == "" {
		return "not readable"
	}
	return fireAt(c.Fire)
}

func fireAt(at watch.FireAt) string { return FireLabel(at.Fire, at.RatePercent) }
