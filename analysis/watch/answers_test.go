package watch

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// An answer without an end stands until the first planned day after it, an
// interval after it, or the next visit, whichever is first. What it hid is on the
// list again then.
func TestAnswersWithoutAnEndLapse(t *testing.T) {
	tested := dayOf(2024, time.May, 6)
	for name, c := range map[string]struct {
		answered, asOf day.Day
		stands         bool
	}{
		"the day before the planned day":        {dayOf(2025, time.January, 10), dayOf(2025, time.May, 5), true},
		"on the planned day":                    {dayOf(2025, time.January, 10), dayOf(2025, time.May, 6), false},
		"answered when overdue":                 {dayOf(2025, time.August, 1), dayOf(2026, time.May, 5), true},
		"the planned day after it":              {dayOf(2025, time.August, 1), dayOf(2026, time.May, 6), false},
		"on the planned day, an interval later": {dayOf(2025, time.May, 6), dayOf(2026, time.May, 6), false},
		"years ago":                             {dayOf(2024, time.July, 1), dayOf(2026, time.March, 2), false},
	} {
		h := unit()
		h.Visits, h.Readings = nil, nil
		visit(h, tested, "annual", high(judge.AsLeft, 9.0), low(judge.AsLeft, 8.6))
		r := testRules()
		r.AsOf = c.asOf
		l := Assess(answered(h, c.answered, day.None, "nothing found"), r, nil)
		require.Equal(t, c.stands, l.Foot != NoFoot, name)
		require.Equal(t, !c.stands, l.Answer == nil, name)
		if !c.stands {
			require.True(t, marked(l, MarkAnswerLapsed), name)
			require.Contains(t, said(l)[1], "nothing found; that has lapsed, and no visit is on record since.", name)
		}
	}

	undated := unit() // no day to plan from: an interval after the answer
	undated.Visits, undated.Readings = nil, nil
	undated.Unit.Installed, undated.Unit.FirstDay = day.None, day.None
	require.Equal(t, FootAnswered, Assess(answered(undated, asOf-364, day.None, "refused"), testRules(), nil).Foot)
	undated.Answers = nil
	require.Empty(t, Assess(answered(undated, asOf-365, day.None, "refused"), testRules(), nil).Foot)
}

// A unit that was answered to be isolated in 2022 is asked about, however sure it
// is to be out; a visit since leaves nothing to ask.
func TestIsolatedLapsesIntoAQuestion(t *testing.T) {
	f := &analysis.Forecast{Fires: []analysis.FireForecast{{
		Fire: judge.High, CO2Percent: 10, LowPercent: 9.8, HighPercent: 10.2, TargetCO2Percent: 9,
		ActRichPercent: 0.4, ActLeanPercent: 0.4, Today: analysis.Probability{Day: asOf, Rich: 0.99},
	}}}
	h := answered(unit(), dayOf(2022, time.June, 1), day.None, "isolated")
	h.Visits[0].Day, h.Readings[0].Day, h.Readings[1].Day = dayOf(2022, time.May, 2), dayOf(2022, time.May, 2), dayOf(2022, time.May, 2)
	l := Assess(h, testRules(), f)
	require.Equal(t, ProbablyOutside, l.Ground)
	require.Equal(t, AskFirst, l.Group)
	require.Empty(t, l.Foot)
	require.True(t, l.Due())
	require.Equal(t, "Answered on 1 Jun 2022: isolated; that has lapsed, and no visit is on record since: ask whether it is still isolated.",
		said(l)[1])

	quiet := Assess(answered(unit(), dayOf(2025, time.November, 3), asOf-1, "isolated"), testRules(), nil)
	require.Equal(t, ToPlan, quiet.Ground)
	require.Equal(t, AskFirst, quiet.Group, "a question, never silence")

	visit(h, dayOf(2025, time.May, 6), "annual", high(judge.AsLeft, 9.0), low(judge.AsLeft, 8.6))
	l = Assess(h, testRules(), f)
	require.False(t, marked(l, MarkAnswerLapsed))
	require.NotContains(t, said(l)[0], "isolated")

	head := head(Summarize([]Line{quiet}, testRules()))
	require.Contains(t, head[len(head)-1]+head[len(head)-2], "an answer has lapsed without a visit since: they are on the list again")
}
