package watch

import (
	"slices"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Line is where a unit stands on the list and the reasons for it.
type Line struct {
	Unit       judge.Unit
	Rank       int // from 1, given by Order; 0 before
	Group      Group
	GroupWords string
	Ground     Ground   // of the first reason
	Foot       Foot     // why it stands at the foot of the list
	Removed    bool     // recorded as removed and not read since: counted, not listed
	Reasons    []Reason // one or two, the first for the group
	// CommonCause: what it shows is likelier due to something the fleet has in common
	// than to its burner.
	CommonCause bool

	Plan
	DaysSinceRoutine int32        // -1 never
	DaysOverdue      int32        // from the planned day to the as-of day; 0 or less: not overdue
	LastVisit        day.Day      // in the field; day.None never
	Unrecorded       []Unrecorded // fires of which the last routine visit does not tell what was left
	Fires            []FireLine
	CO               CO      // the worst of the fires
	AskedSince       day.Day // day of the first list that asked to see to its urgent CO; day.None: no list, or no urgent CO
	COFire           FireAt  // where
	Side             Side    // rich or lean, where the ground or the forecast has one
	// OutProbability is that of being out of limits on the as-of day, WorstOutProbability
	// at the worst from that day to the planned day, each at the fire where it is
	// largest; NaN without a forecast.
	OutProbability, WorstOutProbability float64
	// Benefit is what a visit today avoids; its figures are NaN without a forecast.
	Benefit analysis.Benefit
	// StillBooked: it would not be booked sooner if the list before had not; see
	// Config.StayDays.
	StillBooked bool
	// RankFrom and RankTo hold the rank it could have with 90 % for all the forecast
	// knows; 0 where no forecast gives its rank. See Range.
	RankFrom, RankTo int
	Marks            []Mark
	CheckFirst       []judge.Check // what to look at first, where somebody is to see it
	Answer           *judge.Answer // in force
	AnswerLapses     day.Day       // when it lapses at the latest
	Forecast         *analysis.Forecast

	judged   *judge.Judgement
	newPlace *judge.Move     // whose vent run is not on record; nil: none
	doubted  []recordFinding // records that a finding asks to be looked at
	unused   []UnusedCO      // CO on records that could not be used, not settled since
}

// AskSince notes the day of the first list that asked to see to the urgent CO of
// a line. A line without one is left as it is.
func (l *Line) AskSince(since day.Day) {
	if l.Ground == COUrgentNow && since != day.None {
		l.AskedSince = since
	}
}

// Due reports whether a line asks for anything: it stands on the list proper
// and cannot wait.
func (l *Line) Due() bool { return !l.Removed && l.Foot == NoFoot && l.Group < CanWait }

// Marked reports whether a line bears a mark of that kind.
func (l *Line) Marked(kind analysis.MarkKind) bool {
	return slices.ContainsFunc(l.Marks, func(m Mark) bool { return m.Kind == kind })
}

// DangerousUnused lists the CO for attention or more on records that could not
// be used and that nothing has settled: of each record the worst.
func (l *Line) DangerousUnused() []UnusedCO { return worstOfEach(l.unused, (*UnusedCO).dangerous) }

// UnreadableCO lists the records whose CO cannot be read and that nothing has
// settled.
func (l *Line) UnreadableCO() []UnusedCO { return worstOfEach(l.unused, (*UnusedCO).Unreadable) }

// footRank orders the groups at the foot; 0 is the list proper.
func (l *Line) footRank() int {
	switch {
	case l.Foot == NoFoot:
		return 0
	case l.Answer == nil:
		return len(answerOrder) + int(l.Foot)
	}
	if i := slices.Index(answerOrder, l.Answer.Answer); i >= 0 {
		return i + 1
	}
	return len(answerOrder) + 1
}
