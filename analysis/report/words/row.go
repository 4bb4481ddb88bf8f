package words

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Two is what a cell of a row says on its two lines.
type Two struct {
	First, Second         string
	FirstBold, SecondBold bool
	Red                   bool // the first is CO that is urgent
}

// worthSaying is by how much the worst chance before the planned visit has to exceed
// today's to stand under it.
const worthSaying = 0.15

// RowChance is the chance out of limits today; under it the worst one before the
// planned visit, with its month.
func RowChance(l *watch.Line) Two {
	if math.IsNaN(l.OutProbability) {
		return Two{First: "–", Second: "not judged"}
	}
	c := Two{First: percent(l.OutProbability), FirstBold: l.OutProbability >= analysis.OutProbability}
	if worst, on := worstChance(l); worst-l.OutProbability >= worthSaying && on != day.None {
		c.Second, c.SecondBold = percent(worst)+" by "+shortMonth(on), worst >= analysis.OutProbability
	}
	return c
}

// worstChance is the largest chance of any fire from today to the planned day, and its
// day.
func worstChance(l *watch.Line) (worst float64, on day.Day) {
	worst, on = math.NaN(), day.None
	if l.Forecast == nil {
		return worst, on
	}
	for i := range l.Forecast.Fires {
		f := &l.Forecast.Fires[i]
		for _, c := range []analysis.Probability{f.Worst, f.Planned} {
			if out := c.Out(); !math.IsNaN(out) && !(out <= worst) {
				worst, on = out, c.Day
			}
		}
	}
	return worst, on
}

func shortMonth(d day.Day) string { return d.Time().Format("Jan") }

// rowCarbonMonoxide is the newest CO at the worst fire, and which that is.
func rowCarbonMonoxide(l *watch.Line) Two {
	c := Two{First: CO(&l.CO), Second: COFire(l), FirstBold: true, Red: l.CO.Level == watch.COUrgent}
	if !math.IsNaN(l.CO.AirFreePPM) {
		c.First = wholePPM(l.CO.AirFreePPM)
		if l.CO.AtLeast {
			c.First = "over " + c.First
		}
	}
	return c
}

// rowBenefit is what a visit now avoids.
func rowBenefit(l *watch.Line) Two {
	if math.IsNaN(l.Benefit.Days) {
		return Two{First: "–"}
	}
	c := Two{First: Counted(int(math.Round(max(l.Benefit.Days, 0))), "day")}
	if !math.IsNaN(l.Benefit.Points) {
		c.Second = Number(l.Benefit.Points, 1) + " points beyond"
	}
	return c
}

// rowOverdue is how long the planned day is past.
func rowOverdue(l *watch.Line) Two {
	if l.PlannedDay == day.None {
		return Two{First: "–", Second: "no day to plan from"}
	}
	return Two{First: span(max(l.DaysOverdue, 0)), Second: "past " + Day(l.PlannedDay)}
}

// rowPlanned is the planned day.
func rowPlanned(l *watch.Line) Two {
	if l.PlannedDay == day.None {
		return Two{First: "–", Second: "no day to plan from"}
	}
	return Two{First: Day(l.PlannedDay)}
}

// RowWhy says on one line why a unit stands where it does, the foot of the list first.
func RowWhy(l *watch.Line) string {
	if foot := Foot(l); foot != "" {
		return Capital(foot)
	}
	if len(l.Reasons) == 0 {
		return ""
	}
	return strings.TrimSuffix(rowReason(l, l.Reasons[0]), ".")
}

// rowReason is a reason in so few words that they stand on one line.
func rowReason(l *watch.Line, r watch.Reason) string {
	switch r := r.(type) {
	case watch.COFound:
		return rowCO(l, r.Fire)
	case watch.OutNow:
		likely := "Probably"
		if r.Chance.Out() >= almostSurely {
			likely = "Almost surely"
		}
		return likely + " out now" + rowExpected(r.Fire, r.Chance)
	case watch.OutAhead:
		return "Likely out " + rowLeaving(r.Fire, r.Worst) + rowExpected(r.Fire, r.Worst)
	case watch.LeftOff:
		verb := "left"
		if r.Fire.Reading.Condition != judge.AsLeft {
			verb = "found"
		}
		return fmt.Sprintf("%s %s at %s on %s, target %s", Capital(fireLine(r.Fire)), verb, inTargetGas(r.Fire), Day(r.Fire.Reading.Day),
			targetAlone(r.Fire.Target))
	case watch.SetAsOther:
		return fmt.Sprintf("Left at %s, as for %s; register: %s, target %s", gas(r.Last), r.OtherFuel, r.Last.Fuel, targetAlone(r.Last.Target))
	case watch.OtherSettingFound:
		x := &r.Found.History.Readings[r.Found.Readings[0]]
		return fmt.Sprintf("%s at %s %% O2 fits %s; register: %s", gas(x), Number(x.O2Percent, decimalsOf(x.O2Decimals)), r.Found.OtherFuel,
			x.Fuel)
	case watch.Unconfirmed:
		v := r.Fire.Unconfirmed
		return fmt.Sprintf("%s read %s %% CO2 on %s, about %s expected", Capital(FireLabel(r.Fire.Fire, r.Fire.RatePercent)),
			Number(v.ReadPercent, 1), Day(v.Day), Number(v.ExpectedPercent, 1))
	case watch.SuspectAnalyzer:
		f, s := r.Fire, r.Fire.Forecast.Suspect
		return fmt.Sprintf("%s read %s; analyzer %s reads %s points %s", Capital(fireLine(f)), gas(f.Reading), s.Analyzer,
			Number(math.Abs(s.Points), 1), aboveOrBelow(s.Points))
	case watch.UntestedSince:
		return rowUntested(r)
	case watch.NoTargetDeclared:
		return "No target for " + rowModel(r.Unit)
	case watch.Overdue:
		w := notVisited(&r.Plan, r.NotRead)
		if w == "" {
			w = "Last routine visit on " + Day(r.LastRoutine)
		}
		if r.Since != nil {
			w += "; " + string(r.Since.Reason) + " " + Day(r.Since.Day) + " not fully recorded"
		}
		return w
	case watch.OutPerhaps:
		return "May be out of limits" + rowExpected(r.Fire, r.Worst)
	case watch.BelowLine:
		return rowReason(l, r.Of)
	case watch.NothingDue:
		return rowQuiet(l)
	}
	return briefly(l)
}

// rowUntested says what changed, by when at the latest, and when the fire was read last.
func rowUntested(r watch.UntestedSince) string {
	what := "Vent run changed"
	switch {
	case r.Moved != nil:
		what = "Moved"
	case r.Fuel != "":
		what = "Fuel changed to " + r.Fuel
	}
	on := " on "
	if r.UncertainFrom != day.None {
		on = " by "
	}
	last := "never read"
	if r.Fire.Reading != nil {
		last = "last read on " + Day(r.Fire.Reading.Day)
	}
	return what + on + Day(r.From) + "; " + last
}

// rowModel is the model line and fuel that a target would be declared for.
func rowModel(u *judge.Unit) string {
	if u.ModelLine == "" {
		return "a boiler whose model line is not in the register"
	}
	return u.ModelLine + " on " + u.Fuel
}

// almostSurely is the chance from which a unit is called so.
const almostSurely = 0.95

// rowCO says when an urgent CO was read, what the other fire had, and whether anybody
// has come since.
func rowCO(l *watch.Line, f *watch.FireLine) string {
	w := Day(f.CO.Day)
	if r := f.Reading; r != nil && r.Day == f.CO.Day {
		w = Capital(string(r.Condition)) + " " + w
	} else {
		w = "Read " + w
	}
	for i := range l.Fires {
		o := &l.Fires[i]
		if o.Fire != f.Fire && o.CO.Day == f.CO.Day && !math.IsNaN(o.CO.AirFreePPM) {
			w += ", " + fireLine(o) + " " + wholePPM(o.CO.AirFreePPM)
			break
		}
	}
	if l.LastVisit > f.CO.Day {
		return w + "; visited " + Day(l.LastVisit) + ", CO not settled"
	}
	return w + "; no visit since"
}

// rowExpected is the likelier side, and where the fire is expected today.
func rowExpected(f *analysis.FireForecast, c analysis.Probability) string {
	side := ""
	if s := watch.SideOf(c); s != watch.NoSide {
		side = ", " + s.String()
	}
	return side + ": " + rowFire(f)
}

// rowFire is where a fire is expected today, beside its target.
func rowFire(f *analysis.FireForecast) string {
	return fmt.Sprintf("%s %s %% (%s–%s), target %s", FireLabel(f.Fire, f.RatePercent), Number(f.CO2Percent, 1),
		Number(f.LowPercent, 1), Number(f.HighPercent, 1), GasNumber(f.TargetCO2Percent))
}

// rowLeaving says in short months when a fire is expected out of limits.
func rowLeaving(f *analysis.FireForecast, worst analysis.Probability) string {
	from, to := f.FirstOutsideFrom, f.FirstOutsideTo
	switch {
	case f.FirstOutside != analysis.LeavingWithin || from == day.None && to == day.None:
		return "by " + shortMonth(worst.Day)
	case from <= f.Today.Day && to == day.None:
		return "soon"
	case from <= f.Today.Day:
		return "before " + shortMonth(to)
	case to == day.None:
		return "after " + shortMonth(from)
	case shortMonth(from) == shortMonth(to):
		return "from " + shortMonth(to)
	}
	return "from " + shortMonth(from) + "–" + shortMonth(to)
}

// rowQuiet is where a unit that can wait is expected, at the fire that is likeliest
// out.
func rowQuiet(l *watch.Line) string {
	var worst *analysis.FireForecast
	if l.Forecast != nil {
		for i := range l.Forecast.Fires {
			if f := &l.Forecast.Fires[i]; !math.IsNaN(f.Today.Out()) && (worst == nil || f.Today.Out() > worst.Today.Out()) {
				worst = f
			}
		}
	}
	if worst == nil {
		return briefly(l)
	}
	return "Expected inside: " + rowFire(worst)
}

// inTargetGas is a fire's reading in the gas of its target.
func inTargetGas(f *watch.FireLine) string {
	switch {
	case !f.Derived:
		return value(f)
	case inO2(f.Target):
		return Number(f.Target.O2Percent-f.Points, 1) + " % O2"
	}
	return Number(f.CO2Percent, 1) + " % CO2"
}

// targetAlone is a target without its band.
func targetAlone(t judge.Target) string {
	switch {
	case !watch.HasTarget(t):
		return "none"
	case inO2(t):
		return GasNumber(t.O2Percent) + " % O2"
	}
	return GasNumber(t.CO2Percent)
}

// asks says whom to ask about a unit, and what, each in two or three words.
func asks(l *watch.Line) Two {
	if len(l.Reasons) == 0 {
		return Two{First: "Office", Second: "record", FirstBold: true}
	}
	whom, what := "Office", "record"
	switch r := l.Reasons[0].(type) {
	case watch.OverFuel, watch.OtherSettingFound:
		whom, what = "Technician", "fuel set on analyzer"
	case watch.SetAsOther:
		what = "which fuel"
	case watch.SuspectAnalyzer:
		whom, what = "Technician", "second analyzer"
	case watch.Unconfirmed:
		whom, what = "Technician", "was it read so?"
	case watch.LeftOff:
		whom, what = "Technician", "was it left so?"
	case watch.UntestedSince:
		whom, what = "Owner", "when it changed"
	case watch.NotInRegister, watch.RegisterLineAside:
		what = "register line"
	case watch.NoTargetDeclared, watch.NoBandDeclared:
		what = "target"
	case watch.NeverRead:
		what = "was it tested?"
		if r.LastVisit != day.None {
			whom, what = "Technician", "values read"
		}
	case watch.CONotRecorded, watch.COUnreadable, watch.COUnusable:
		whom, what = "Technician", "CO reading"
	case watch.ReadSinceRemoved:
		what = "is it still there?"
	case watch.AnswerLapsed:
		whom, what = "Owner", "answer lapsed"
	}
	return Two{First: whom, Second: what, FirstBold: true}
}

// RowNext says on one line what comes first: out of service, what to ask, what to
// check.
func RowNext(l *watch.Line) string {
	if l.Ground == watch.COUrgentNow {
		return checkBrief[judge.TakeOutOfService]
	}
	if len(l.Reasons) > 0 {
		if below, is := l.Reasons[0].(watch.BelowLine); is {
			return rowBelow(below)
		}
		if ask := asksFor(l.Reasons[0]); ask != "" {
			return ask
		}
	}
	if len(l.CheckFirst) == 0 || l.CheckFirst[0] == judge.NothingStandsOut {
		return ""
	}
	return checkBrief[l.CheckFirst[0]]
}

// rowBelow says on one line what a visit now avoids, and what the line is.
func rowBelow(r watch.BelowLine) string {
	w := "A visit now avoids " + avoidedDays(r.Days) + "; " + plain(r.LineDays) + " is the line"
	if r.BackInside != day.None {
		w += "; back inside about " + Day(r.BackInside)
	}
	return w
}

// asksFor is the question that a reason leaves open, on one line.
func asksFor(r watch.Reason) string {
	switch r := r.(type) {
	case watch.OverFuel:
		return "Ask which fuel the analyzer was set to on " + Day(r.Fire.Reading.Day)
	case watch.OtherSettingFound:
		return "Ask which fuel the analyzer was set to; check the label"
	case watch.SetAsOther:
		return "Ask which fuel it burns; correct the register or reset the burner"
	case watch.SuspectAnalyzer:
		return "Read it with another analyzer before adjusting"
	case watch.Unconfirmed:
		return "A typing error, or the burner changed: check the paperwork first"
	case watch.LeftOff:
		if r.Doubt != nil || r.Fire.LeftFar {
			return "Probably not left this way on purpose; check the paperwork first"
		}
	case watch.UntestedSince:
		if r.Perhaps() {
			return "Ask on which day it changed"
		}
	case watch.NotInRegister:
		return "Correct the serial, or add the boiler to the register"
	case watch.NoTargetDeclared, watch.NoBandDeclared:
		return "Declare the target of its model line and fuel"
	case watch.CONotRecorded:
		return "Ask for the CO of that visit and enter it"
	}
	return ""
}
