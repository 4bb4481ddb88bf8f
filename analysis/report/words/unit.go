package words

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/analysis/report/units"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// About says who and where a unit is, what it burns and how it is vented.
func About(in units.Set, a *watch.About) []string {
	u := &a.Unit
	parts := append([]string{"Unit " + u.Serial}, said(u.Site, u.Area)...)
	return append([]string{strings.Join(append(parts, boiler(in, u)...), ", ")}, aboutSite(in, a)...)
}

// boiler says what a boiler is and what it burns.
func boiler(in units.Set, u *judge.Unit) []string {
	parts := said(u.ModelLine, u.Fuel, string(u.Control), u.Firing)
	if u.InputKW > 0 {
		parts = append(parts, in.InputOf(u.InputKW))
	}
	return parts
}

// aboutSite says since when a boiler stands there, and how it is vented.
func aboutSite(in units.Set, a *watch.About) []string {
	u := &a.Unit
	state := "Installed on " + Day(u.Installed)
	if u.State != "" {
		state += ", " + string(u.State)
		if u.StateFrom != day.None {
			state += " since " + Day(u.StateFrom)
		}
	}
	about := []string{state + "."}
	if a.Moved != nil {
		about = append(about, fmt.Sprintf("%s %s: earlier readings do not show its setting now.", Capital(moved(a.Moved)),
			dayOfMove(a.Moved)))
	}
	if a.Vent == nil || !a.Vent.Known {
		return append(about, "Vent run not on record.")
	}
	return append(about, "Vent run: "+ventRun(in, a.Vent)+".")
}

// dayOfMove says when a unit moved.
func dayOfMove(m *judge.Move) string {
	if m.After == day.None {
		return "on " + Day(m.Day)
	}
	return fmt.Sprintf("some day between %s and %s", Day(m.After), Day(m.Day))
}

// ventRun describes a vent run that is known.
func ventRun(in units.Set, v *judge.VentRun) string {
	var parts []string
	add := func(m float64, write func(float64) string, what string) {
		if !math.IsNaN(m) {
			parts = append(parts, write(m)+what)
		}
	}
	add(v.LengthM, in.LengthOf, " straight")
	add(v.RiseM, in.LengthOf, " rise")
	add(v.DiameterM, in.WidthOf, " wide")
	if v.Elbows90 >= 0 {
		parts = append(parts, Counted(v.Elbows90, "elbow")+" of 90 degrees")
	}
	if v.Elbows45 > 0 {
		parts = append(parts, Counted(v.Elbows45, "elbow")+" of 45 degrees")
	}
	if v.Terminal != "" {
		parts = append(parts, "terminal "+v.Terminal)
	}
	if v.AirFrom != "" {
		parts = append(parts, "air from "+v.AirFrom)
	}
	return strings.Join(parts, ", ")
}

// Found says what the records say of themselves.
func Found(in units.Set, findings []watch.Found) (lines []string) {
	for i := range findings {
		lines = append(lines, Capital(found(in, &findings[i]))+".")
	}
	return lines
}

// costMethod is how a cost was computed.
func costMethod(in units.Set, m judge.CostMethod) string {
	const instrumentK = 5
	w := "indirect balance with latent heat, as if the flue were as warm on target; limits cover 0.4 points of O2 " +
		"and " + in.WarmerOf(instrumentK) + " of the instrument"
	if m == judge.WithOrdinance {
		w += ", and the two-constant formula of 1. BImSchV"
	}
	return w
}

// Costs says what lean readings cost in fuel.
func Costs(in units.Set, costs []watch.LeanCost) (lines []string) {
	for i := range costs {
		f, fuel := costs[i].Fire, &costs[i].FuelPercent
		lines = append(lines, fmt.Sprintf("%s, %s points lean of target on %s: about %s %% more fuel than on target (%s to %s; %s)."+
			" This alone is no reason to visit.",
			Capital(fireLine(f)), Number(math.Abs(f.Points), pointDecimals(f)), Day(f.Reading.Day),
			Number(fuel.Value, 1), Number(fuel.Low, 1), Number(fuel.High, 1), costMethod(in, costs[i].Method)))
	}
	return lines
}

// EntryWhat is the reason of a visit, or what happened.
func EntryWhat(in units.Set, e *watch.Entry) string {
	switch {
	case e.Reading != nil && e.Visit == nil:
		return ""
	case e.Reading != nil:
		return string(e.Visit.Reason)
	case e.Moved != nil:
		return moved(e.Moved) + someDay(e)
	case e.Vent != nil && !e.Vent.Known:
		return "vent run changed: Vent run not on record" + someDay(e)
	case e.Vent != nil:
		return "vent run changed: " + ventRun(in, e.Vent) + someDay(e)
	case e.Unused != nil && e.Unused.Day == day.None:
		return "record that could not be used: " + unusedWhy(e.Unused) + ", day not readable"
	case e.Unused != nil:
		return "record that could not be used: " + unusedWhy(e.Unused)
	case e.Visit != nil:
		return withoutReading(e.Visit)
	}
	return "fuel changed to " + e.Fuel + someDay(e)
}

// someDay says that the day of a change is not known.
func someDay(e *watch.Entry) string {
	if e.Uncertain == day.None {
		return ""
	}
	return ", some day since " + Day(e.Uncertain)
}

// withoutReading says what is known of a visit without readings.
func withoutReading(v *judge.Visit) string {
	w := "visit, no reading on record"
	if v.Reason != "" {
		w = string(v.Reason) + ", no reading on record"
	}
	switch high, low := v.AdjustedHigh, v.AdjustedLow; {
	case high == low && high != "":
		w += ", adjusted " + high
	default:
		if high != "" {
			w += ", adjusted at high fire " + high
		}
		if low != "" {
			w += ", adjusted at low fire " + low
		}
	}
	if v.Parts != "" {
		w += ", parts " + v.Parts
	}
	return w
}

// EntryFire names the fire of an entry; "" without one.
func EntryFire(e *watch.Entry) string {
	switch {
	case e.Reading != nil:
		return FireLabel(e.Reading.Fire, e.Reading.RatePercent)
	case e.Unused != nil && e.Unused.Fire != "":
		return FireLabel(e.Unused.Fire, math.NaN())
	}
	return ""
}

// EntryFireShort names it as a narrow column has it.
func EntryFireShort(e *watch.Entry) string {
	switch {
	case e.Reading != nil:
		return fireShort(e.Reading.Fire, e.Reading.RatePercent)
	case e.Unused != nil && e.Unused.Fire != "":
		return fireShort(e.Unused.Fire, math.NaN())
	}
	return ""
}

// EntryCondition is the condition of an entry, and whether it was adjusted after it.
func EntryCondition(e *watch.Entry) string {
	if e.Unused != nil {
		return string(e.Unused.Condition)
	}
	if e.Reading == nil {
		return ""
	}
	w := string(e.Reading.Condition)
	if e.Visit != nil && e.Reading.Condition == judge.AsFound && e.Visit.Adjusted(e.Reading.Fire) != "" {
		w += ", adjusted " + e.Visit.Adjusted(e.Reading.Fire)
	}
	return w
}

// TakenBy is who took a reading, and with what.
func TakenBy(e *watch.Entry) string { return strings.Join(said(e.Technician, e.Analyzer), ", ") }

// EntryTarget is the target in force on the day of a reading.
func EntryTarget(e *watch.Entry) string {
	if e.Reading == nil {
		return ""
	}
	return Target(e.Reading.Target)
}

// Verdict compares a reading with its target and setting band.
func Verdict(e *watch.Entry) string {
	return verdict(e, "inside the setting band")
}

// VerdictShort is Verdict as a narrow column has it.
func VerdictShort(e *watch.Entry) string { return verdict(e, "inside") }

// verdict compares a reading with its target and setting band; inside says that it
// lies in it.
func verdict(e *watch.Entry, inside string) string {
	c := &e.Off
	switch {
	case e.Reading == nil:
		return ""
	case c.NoBurner:
		return "no burner at work"
	case math.IsNaN(c.Points):
		return ""
	case c.Side != watch.NoSide:
		return GasNumber(math.Abs(c.Points)) + " " + c.Side.String() + ", outside"
	case math.IsNaN(c.Beyond):
		return "no band to judge by"
	}
	return inside
}

// Judged says what a reading is good for, and why where it is not simply used.
func Judged(e *watch.Entry) string {
	if e.Reading == nil {
		return ""
	}
	var why []string
	for _, k := range e.Kinds {
		why = append(why, findingKinds[k])
	}
	switch {
	case len(why) > 0:
	case e.Reading.Condition == judge.Between:
		why = []string{"taken while setting"}
	case math.IsNaN(e.Reading.CO2Percent) && math.IsNaN(e.Reading.O2Percent):
		why = []string{"no CO2 or O2"}
	}
	if len(why) == 0 {
		return e.Use.String()
	}
	return e.Use.String() + ": " + strings.Join(why, ", ")
}
