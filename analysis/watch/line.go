package watch

import (
	"slices"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Line is a unit's place on the list and the reasons for it.
type Line struct {
	Unit      judge.Unit
	Place     int // from 1, given by Order; 0 before
	Tier      Tier
	TierWords string
	Foot      Foot // why it stands at the foot of the list
	Removed   bool // recorded as removed and not read since: counted, not listed
	Step      Step
	Reasons   []Reason // one or two, the first for the tier
	// CommonCause: its tier is likelier due to something the fleet has in common than
	// to its burner.
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
	Side             Side    // rich or lean, where the tier or the forecast has one
	// OutProbability is that of being out of limits on the as-of day, WorstOutProbability
	// at the worst from that day to the planned day, each at the fire where it is
	// largest; NaN without a forecast.
	OutProbability, WorstOutProbability float64
	// Benefit is what a visit today avoids; its figures are NaN without a forecast.
	Benefit analysis.Benefit
	// PlaceFrom and PlaceTo hold the place it could have with 90 % for all the
	// forecast knows; 0 where no forecast gives its place. See Range.
	PlaceFrom, PlaceTo int
	TiedWithNext       bool // their order is less than 60 % sure
	Marks              []Mark
	CheckFirst         []judge.Check // what to look at first, where somebody is to see it
	Answer             *judge.Answer // in force
	AnswerLapses       day.Day       // when it lapses at the latest
	Forecast           *analysis.Forecast

	judged   *judge.Judgement
	newPlace *judge.Move     // whose vent run is not on record; nil: none
	doubted  []recordFinding // records that a finding asks to be looked at
	unused   []UnusedCO      // CO on records that could not be used, not settled since
}

// AskSince notes the day of the first list that asked to see to the urgent CO of
// a line. A line without one is left as it is.
func (l *Line) AskSince(since day.Day) {
	if l.Tier == COUrgentNow && since != day.None {
		l.AskedSince = since
	}
}

// Due reports whether a line asks for anything: it stands on the list proper
// and its next step is not to leave it to plan.
func (l *Line) Due() bool { return !l.Removed && l.Foot == NoFoot && l.Step != LeaveToPlan }

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

// orderProbability is what the order goes by: today's probability in the tier of
// those probably outside now, the worst until the planned day elsewhere; NaN
// without a forecast.
func (l *Line) orderProbability() float64 {
	if l.Tier == ProbablyOutside {
		return l.OutProbability
	}
	return l.WorstOutProbability
}

// footRank orders the groups at the foot; 0 is the list proper.
func (l *Line) footRank() int {
	switch {
	case l.Foot == NoFoot:
		return 0
	case l.Answer == nil:
		return len(answerOrder) + 2
	}
	if i := slices.Index(answerOrder, l.Answer.Answer); i >= 0 {
		return i + 1
	}
	return len(answerOrder) + 1
}
