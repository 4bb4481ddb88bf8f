package watch

import (
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// atFoot moves units that are answered, isolated or off for the season to the foot of
// those that can wait. Urgent CO stays where it is, whatever was answered.
func (l *Line) atFoot(x *facts) {
	l.Answer = x.answer
	if l.Ground == COUrgentNow {
		return
	}
	switch {
	case l.Answer != nil:
		l.Foot, l.AnswerLapses = FootAnswered, lapseDay(l.Answer, x.plan, x.rules)
	case x.h.Unit.State == judge.Isolated:
		l.Foot = FootIsolated
	case x.h.Unit.State == judge.OffForTheSeason:
		l.Foot = FootOffSeason
	default:
		return
	}
	l.Group = CanWait
}

// answerInForce returns the newest answer where it still stands, and where it has
// lapsed the answer that did: one with an end after that day, one without at the
// day of lapseDay. The next visit ends either, and leaves none that has lapsed.
func answerInForce(h *judge.History, p Plan, r Config) (standing, lapsed *judge.Answer) {
	var newest *judge.Answer
	for i := range h.Answers {
		a := &h.Answers[i]
		if a.Day <= r.AsOf && (newest == nil || a.Day >= newest.Day) {
			newest = a
		}
	}
	switch {
	case newest == nil || visitsSince(h, newest.Day, r.AsOf):
		return nil, nil
	case newest.Until != day.None && r.AsOf > newest.Until, newest.Until == day.None && r.AsOf >= lapseDay(newest, p, r):
		return nil, newest
	}
	return newest, nil
}

// lapseDay is the day from which an answer without an end no longer stands: the
// first planned day after it, or an interval after it, whichever is first.
func lapseDay(a *judge.Answer, p Plan, r Config) day.Day {
	months := max(r.IntervalMonths, 1)
	lapse := a.Day.AddMonths(months)
	if p.PlannedDay == day.None {
		return lapse
	}
	planned := p.PlannedDay
	for k := 1; planned <= a.Day; k++ {
		planned = p.PlannedDay.AddMonths(k * months)
	}
	return min(lapse, planned)
}

// AnswerIsolated is the answer that a unit is isolated.
const AnswerIsolated = "isolated"

// answerOrder is the order of answers at the foot: those that need a person
// first.
var answerOrder = []string{"refused", "planned", "nothing found", "record corrected", AnswerIsolated}

// lapsed is the reason of an answer that no longer stands. A unit that was isolated
// may have been put back since, so that somebody has to ask.
func (l *Line) lapsed(x *facts) Reason {
	if x.lapsed == nil || l.Removed {
		return nil
	}
	if x.lapsed.Answer == AnswerIsolated && l.Ground != COUrgentNow {
		l.Group = AskFirst
	}
	return AnswerLapsed{Answer: x.lapsed}
}
