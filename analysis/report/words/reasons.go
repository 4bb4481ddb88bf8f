package words

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/analysis"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Reasons say why a unit stands where it does, one text a reason.
func Reasons(l *watch.Line) []string {
	all := make([]string, len(l.Reasons))
	for i, said := range reasonsOf(l) {
		all[i] = strings.Join(said, " ")
	}
	return all
}

// reasonsOf are the sentences of each reason of a line.
func reasonsOf(l *watch.Line) [][]string {
	all := make([][]string, len(l.Reasons))
	told := map[*analysis.FireForecast]bool{}
	for i, r := range l.Reasons {
		all[i] = sentences(r)
		if of, ok := r.(watch.OutNow); ok && told[of.Fire] {
			all[i] = all[i][:1]
		}
		if f := unconfirmedOf(r); f != nil {
			told[f] = true
		}
	}
	if len(all) == 0 {
		return all
	}
	if l.Ground == watch.COUrgentNow {
		switch r := l.Reasons[0].(type) {
		case watch.COFound:
			all[0] = coFound(r, urgentInState(l.Unit.State)+askedFor(l))
		case watch.COUnusable:
			all[0] = coUnusable(r, urgentInState(l.Unit.State)+askedFor(l))
		}
	}
	if l.CommonCause {
		const common = "Much of the fleet looks like this, and the head of the list names a likelier cause than this burner."
		all[0] = append([]string{common}, all[0]...)
	}
	return all
}

// FirstReason is the sentence for the group.
func FirstReason(l *watch.Line) string {
	if len(l.Reasons) == 0 {
		return ""
	}
	return Reasons(l)[0]
}

// briefly is the first sentence of why a unit stands where it does.
func briefly(l *watch.Line) string {
	if len(l.Reasons) == 0 {
		return ""
	}
	return reasonsOf(l)[0][0]
}

// Reason says a reason, as far as the line adds nothing to it.
func Reason(r watch.Reason) string { return strings.Join(sentences(r), " ") }

// one is a reason of one sentence.
func one(format string, values ...any) []string { return []string{fmt.Sprintf(format, values...)} }

// sentences are those of a reason.
func sentences(r watch.Reason) []string {
	switch r := r.(type) {
	case watch.COFound:
		return coFound(r, "")
	case watch.COUnusable:
		return coUnusable(r, "")
	case watch.COUnreadable:
		return one("%s on a record cannot be read, %s (%s): correct the record.", UnusedCO(r.CO), r.CO.Origin, unusedAbout(r.CO))
	case watch.CONotRecorded:
		return coNotRecorded(r)
	case watch.OverFuel:
		return one("%s read %s on %s, more than %s can give (%s %%): wrong in the record or at the analyzer. Ask the technician before driving.",
			Capital(fireLine(r.Fire)), gas(r.Fire.Reading), Day(r.Fire.Reading.Day), r.Fuel, plain(r.CO2MaxPercent))
	case watch.SetAsOther:
		last := r.Last
		return one("%s: %s up to %s, the last at %s, are nearer to the target of %s than to that of %s, %s:"+
			" wrong in the record, at the analyzer or at the burner. Ask the technician before driving.",
			Capital(FireLabel(last.Fire, last.RatePercent)), Counted(r.Readings, "as-left reading"),
			Day(last.Day), gas(last), r.OtherFuel, last.Fuel, Target(last.Target))
	case watch.OtherSettingFound:
		return one("%s. Ask the technician before driving.", Capital(found(units.SI, r.Found)))
	case watch.SuspectAnalyzer:
		return suspectAnalyzer(r)
	case watch.OutNow, watch.OutAhead, watch.OutPerhaps, watch.Unconfirmed:
		return byForecast(r)
	case watch.BelowLine:
		return belowLine(r)
	case watch.LeftOff:
		return leftOff(r)
	case watch.UntestedSince:
		return untestedSince(r)
	case watch.Overdue:
		return overdue(r)
	case watch.FarLeft, watch.RemovedAndRead, watch.VentRunUnknown:
		return []string{toCorrect(r)}
	default:
		return notKnown(r)
	}
}

// notKnown are the reasons of what is missing, and of units out of use.
func notKnown(r watch.Reason) []string {
	switch r := r.(type) {
	case watch.RegisterLineAside:
		return one("Its line of the register, %s, was set aside: only its CO is judged until that line is corrected.", r.Origin)
	case watch.NotInRegister:
		return []string{
			"Serial not in the register: only its CO is judged.", "Correct the serial in the record or add the unit to the register.",
		}
	case watch.NoTargetDeclared:
		if r.Fire == nil {
			return one("No target declared for %s.", declaredFor(r.Unit))
		}
		return one("No target declared for %s at %s: only its CO is judged there.", declaredFor(r.Unit), fireLine(r.Fire))
	case watch.NoBandDeclared:
		return one("Target %s at %s has no setting band: nothing to judge it by but CO.", Target(r.Fire.Target), fireLine(r.Fire))
	case watch.LinesUnusable:
		return []string{
			fmt.Sprintf("No reading on record: %s of it could not be used, the first %s.", Counted(r.Unused.Lines, "line"), r.Unused.First),
			"Correct the record.",
		}
	case watch.NeverRead:
		return neverRead(r)
	case watch.NothingDue:
		if r.PlannedDay == day.None {
			return one("Nothing %s calls for a visit, but there is no day to plan from: no routine visit, no install day.", whereRead(r.NotRead))
		}
		return one("Nothing %s calls for an earlier visit; planned for %s.", whereRead(r.NotRead), Day(r.PlannedDay))
	case watch.ReadSinceRemoved:
		return one("Recorded as removed, and read since: correct the register or the serial.")
	case watch.OutOfUse:
		if r.State == judge.Standby {
			return one("Standby: it may be called on at any time.")
		}
		return one("Off for the season: see it before it is started again.")
	case watch.AnswerLapsed:
		said := fmt.Sprintf("Answered on %s: %s; that has lapsed, and no visit is on record since", Day(r.Answer.Day), r.Answer.Answer)
		if r.Answer.Answer == watch.AnswerIsolated {
			said += ": ask whether it is still isolated"
		}
		return []string{said + "."}
	}
	return nil
}

// toCorrect is what a record is to be corrected for, as the beginning of a sentence.
func toCorrect(r watch.Reason) string {
	switch r := r.(type) {
	case watch.FarLeft:
		return fmt.Sprintf("%s left at %s, target %s", fireLine(r.Fire), value(r.Fire), Target(r.Fire.Target))
	case watch.RemovedAndRead:
		return "recorded as removed on " + Day(r.RemovedOn) + ", and read since"
	case watch.VentRunUnknown:
		return fmt.Sprintf("%s %s: its vent run there is not on record", moved(r.Move), dayOfMove(r.Move))
	}
	return ""
}

func byForecast(r watch.Reason) []string {
	switch r := r.(type) {
	case watch.OutNow:
		all := []string{expected(r.Fire, percent(r.Chance.Out())+" likely out of limits today", r.Chance)}
		if r.Fire.Unconfirmed != nil {
			all = append(all, unconfirmed(r.Fire))
		}
		return all
	case watch.OutAhead:
		f := r.Fire
		all := []string{expected(f, todayAndWorst(f, r.Worst), r.Worst)}
		if leaving := Leaving(f); leaving != "" {
			all = append(all, "Expected to leave its limits "+leaving+".")
		}
		return all
	case watch.OutPerhaps:
		return []string{expected(r.Fire, todayAndWorst(r.Fire, r.Worst), r.Worst)}
	case watch.Unconfirmed:
		return []string{Capital(FireLabel(r.Fire.Fire, r.Fire.RatePercent)) + ": its" + strings.TrimPrefix(unconfirmed(r.Fire), "Its")}
	}
	return nil
}

// unconfirmedOf is the fire whose unconfirmed last reading a reason names; nil where it
// names none.
func unconfirmedOf(r watch.Reason) *analysis.FireForecast {
	switch r := r.(type) {
	case watch.Unconfirmed:
		return r.Fire
	case watch.OutNow:
		if r.Fire.Unconfirmed != nil {
			return r.Fire
		}
	}
	return nil
}

// todayAndWorst says how likely a fire is out of limits today and at worst before its
// planned visit, once where that is today.
func todayAndWorst(f *analysis.FireForecast, worst analysis.Probability) string {
	w := percent(f.Today.Out()) + " likely out of limits today"
	if worst.Day == f.Today.Day {
		return w + ", its worst day before the planned visit"
	}
	return w + fmt.Sprintf(", %s at worst before its planned visit (%s)", percent(worst.Out()), Day(worst.Day))
}

// expected says where a fire is expected today and how likely it is out of limits,
// which likely says, with the likelier side of that chance.
func expected(f *analysis.FireForecast, likely string, c analysis.Probability) string {
	words := fmt.Sprintf("%s is expected at %s %% CO2 today (%s to %s), target %s: %s",
		Capital(FireLabel(f.Fire, f.RatePercent)), Number(f.CO2Percent, 1), Number(f.LowPercent, 1), Number(f.HighPercent, 1),
		GasNumber(f.TargetCO2Percent), likely)
	return words + onSide(c) + "."
}

// onSide names the side of a chance: plainly where the other is all but impossible;
// nothing where they are nearly alike.
func onSide(c analysis.Probability) string {
	const allButNone = 0.05
	side := watch.SideOf(c)
	switch {
	case side == watch.NoSide:
		return ""
	case math.Min(c.Rich, c.Lean) < allButNone:
		return ", on the " + side.String() + " side"
	}
	return ", more likely on the " + side.String() + " side"
}

// belowLine says why a unit can wait although there is something to say of it.
func belowLine(r watch.BelowLine) []string {
	all := append(sentences(r.Of), fmt.Sprintf("A visit now avoids %s out of limits; %s is the line.", avoidedDays(r.Days), plain(r.LineDays)))
	if r.BackInside != day.None {
		all = append(all, "The weather is expected to bring it back inside about "+Day(r.BackInside)+".")
	}
	if r.WorthFrom != day.None {
		all = append(all, "A visit from about "+Day(r.WorthFrom)+" would avoid enough.")
	}
	return all
}

// avoidedDays are days out of limits that a visit avoids, in whole days.
func avoidedDays(days float64) string {
	if n := int(math.Round(days)); n > 0 {
		return "about " + Counted(n, "day")
	}
	return "no days"
}

func unconfirmed(f *analysis.FireForecast) string {
	v := f.Unconfirmed
	return fmt.Sprintf("Its last reading, %s %% CO2 on %s, is out of line (about %s was expected), and nothing since confirms it: "+
		"a typing error, or the burner changed.",
		Number(v.ReadPercent, 1), Day(v.Day), Number(v.ExpectedPercent, 1))
}

func suspectAnalyzer(r watch.SuspectAnalyzer) []string {
	f, s := r.Fire, r.Fire.Forecast.Suspect
	return []string{
		fmt.Sprintf("%s read %s on %s with analyzer %s, which reads %s points of CO2 %s what read these units before:"+
			" analyzer or burner cannot be told apart.",
			Capital(fireLine(f)), gas(f.Reading), Day(f.Reading.Day), s.Analyzer, Number(math.Abs(s.Points), 2), aboveOrBelow(s.Points)),
		"Have it read with another analyzer before anything is set.",
	}
}

func aboveOrBelow(points float64) string {
	if points < 0 {
		return "below"
	}
	return "above"
}

func leftOff(r watch.LeftOff) []string {
	f := r.Fire
	verb, since := "left at", ""
	if f.Reading.Condition != judge.AsLeft {
		verb, since = "found at", ", and nothing recorded after it"
	}
	all := one("%s %s %s on %s, target %s: %s points %s of target%s.", Capital(fireLine(f)), verb, value(f),
		Day(f.Reading.Day), Target(f.Target), Number(math.Abs(f.Points), pointDecimals(f)), f.Side, since)
	for _, o := range r.Others {
		all = append(all, fmt.Sprintf("%s too: %s %s.", Capital(fireLine(o)), Number(math.Abs(o.Points), pointDecimals(o)), o.Side))
	}
	switch {
	case r.Doubt != nil:
		// what puts a gas in doubt names gases alone: reasons are the same for every reader
		all = append(all, Capital(found(units.SI, r.Doubt))+". Ask the technician first.")
	case f.LeftFar:
		all = append(all, "Probably not left this way on purpose: ask the technician before driving.")
	}
	return all
}

func untestedSince(r watch.UntestedSince) []string {
	what, last := "the vent run changed", "never read"
	switch {
	case r.Moved != nil:
		what = moved(r.Moved)
	case r.Fuel != "":
		what = "the fuel changed to " + r.Fuel
	}
	switch {
	case r.Fire.Reading == nil && r.Moved != nil:
		last = "not read there"
	case r.Fire.Reading != nil:
		last = "last read on " + Day(r.Fire.Reading.Day)
	}
	known := fmt.Sprintf("between %s and %s", Day(r.UncertainFrom), Day(r.From))
	switch {
	case r.UncertainFrom == day.None:
		return one("Not tested since %s on %s (%s %s).", what, Day(r.From), fireLine(r.Fire), last)
	case r.Perhaps():
		return one("May not have been tested since %s, some day %s (%s %s): ask when that was.", what, known, fireLine(r.Fire), last)
	}
	return one("Not tested since %s, some day %s (%s %s).", what, known, fireLine(r.Fire), last)
}

func overdue(r watch.Overdue) []string {
	late := span(int32(r.AsOf - r.PlannedDay))
	all := one("No routine visit within the interval: the last was on %s, the next was planned for %s (%s overdue).",
		Day(r.LastRoutine), Day(r.PlannedDay), late)
	if w := notVisited(&r.Plan, r.NotRead); w != "" {
		all = one("%s: one was due by %s (%s overdue).", w, Day(r.PlannedDay), late)
	}
	if v := r.Since; v != nil {
		why := "not every fire was read"
		if r.NoGas {
			why = "no CO2 or O2 was written down"
		}
		visit := "The visit on " + Day(v.Day)
		if v.Reason != "" {
			visit += " (" + string(v.Reason) + ")"
		}
		all = append(all, visit+" does not count: "+why+".")
	}
	return all
}

func neverRead(r watch.NeverRead) []string {
	where := onRecord(r.NotRead)
	switch {
	case r.LastVisit != day.None:
		return []string{
			fmt.Sprintf("No reading %s: last visited on %s, and no CO2 or O2 of a burner at work was written down.", where, Day(r.LastVisit)),
			"Ask for the values.",
		}
	case r.Installed == day.None:
		return []string{"No reading " + where + ": no visit, and no install day.", "Ask whether it has been tested."}
	}
	return []string{
		fmt.Sprintf("No reading %s: no visit since it was installed on %s.", where, Day(r.Installed)),
		"Ask whether it was tested at start-up on its own vent.",
	}
}

// declaredFor says what a target would be declared for; a unit without a model
// line or a fuel on record can have none.
func declaredFor(u *judge.Unit) string {
	line, fuel := fmt.Sprintf("model line %q", u.ModelLine), fmt.Sprintf("%q", u.Fuel)
	if u.ModelLine == "" {
		line = "a unit of unknown model line"
	}
	if u.Fuel == "" {
		fuel = "an unknown fuel"
	}
	return line + " on " + fuel
}

// onRecord says where something was looked for and not found, with the exports
// that were not read and might have it.
func onRecord(notRead string) string {
	if notRead == "" {
		return "on record"
	}
	return "in what was read (not read: " + notRead + ")"
}

// whereRead is onRecord without the exports.
func whereRead(notRead string) string {
	if notRead == "" {
		return "on record"
	}
	return "in what was read"
}
