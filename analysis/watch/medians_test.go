package watch

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// column takes all readings from one column.
func column(*judge.Reading) (layout, header string) { return "north", "CO2" }

// A column's median is of the newest readings about their targets; what was removed
// or read on another fuel counts for nothing.
func TestMediansAreOfTheNewestReadings(t *testing.T) {
	r := testRules()
	var lines []Line
	for i, y := range []float64{0.1, 0.2, 0.3, 0.4, 0.5} {
		h := unit()
		h.Unit.Key = int32(i + 1)
		visit(h, dayOf(2026, time.January, 5), "annual", high(judge.AsFound, 9.0+y), low(judge.AsFound, 8.6+y))
		lines = append(lines, Assess(h, r, nil))
	}
	gone := unit()
	gone.Unit.State = "removed"
	gone.Unit.StateFrom = asOf
	lines = append(lines, Assess(gone, r, nil))
	m := Medians(lines, r, column)
	require.Len(t, m, 1)
	assert.Equal(t, 5, m[0].Units)
	assert.InDelta(t, 0.3, m[0].Points, 1e-9)
	assert.InDelta(t, 0.4, m[0].Rich, 1e-9)
	assert.InDelta(t, 0.2, m[0].Set, 1e-9)
	assert.InDelta(t, 1, m[0].Same, 1e-9)
	assert.InDelta(t, 0.75, m[0].Beyond(), 1e-6)
	assert.Empty(t, Medians(lines, r, func(*judge.Reading) (string, string) { return "", "" }))

	was := m[0]
	was.Points, was.SE, m[0].SE = -0.2, 0.03, 0.04
	assert.InDelta(t, (0.5-2*0.05)/0.2, m[0].Jump(&was), 1e-9)
	was.Points = 0.25
	assert.Zero(t, m[0].Jump(&was), "within chance")
}

// Where a common cause is likelier, no unit is called faulty by itself:
// somebody is asked before anybody drives.
func TestACommonCauseCallsNoUnitFaulty(t *testing.T) {
	r := testRules()
	out := &analysis.Forecast{Fires: []analysis.FireForecast{{
		Fire: judge.High, RatePercent: math.NaN(), CO2Percent: 9.6, LowPercent: 9.4, HighPercent: 9.8, TargetCO2Percent: 9.0,
		Today: analysis.Probability{Day: asOf, Rich: 0.9},
	}}}
	l := Assess(unit(), r, out)
	assert.Equal(t, BookSooner, l.Group)
	r.CommonCause = "The column is wrong."
	l = Assess(unit(), r, out)
	assert.Equal(t, ProbablyOutside, l.Ground)
	assert.Equal(t, AskFirst, l.Group)
	assert.Contains(t, said(l)[0], "a likelier cause than this burner")
	head := head(Summarize([]Line{l}, r))
	assert.Equal(t, "The column is wrong. No unit is called faulty by itself until that is settled.", head[1])
	n, of := ProbablyOut([]Line{l, Assess(unit(), r, nil)}, r)
	assert.Equal(t, []int{1, 1}, []int{n, of})
	assert.Equal(t, CanWait, Assess(unit(), r, nil).Group, "a unit in order stays so")
}

// A side is called likelier where the two differ by more than ten points.
func TestTheLikelierSide(t *testing.T) {
	for _, c := range []struct {
		rich, lean float64
		side       Side
	}{{0.35, 0.25, NoSide}, {0.36, 0.25, Rich}, {0.2, 0.5, Lean}, {0, 0, NoSide}, {math.NaN(), math.NaN(), NoSide}} {
		assert.Equal(t, c.side, SideOf(analysis.Probability{Rich: c.rich, Lean: c.lean}), fmt.Sprint(c))
	}
	f := &analysis.FireForecast{Fire: judge.High, RatePercent: math.NaN()}
	assert.NotContains(t, Say.Reason(OutNow{Fire: f, Chance: analysis.Probability{Rich: 0.3, Lean: 0.25}}), "more likely")
	assert.Contains(t, Say.Reason(OutNow{Fire: f, Chance: analysis.Probability{Rich: 0.5, Lean: 0.25}}), "more likely on the rich side.")
}

// What no record of the fleet holds is named; what one holds is not.
func TestWhatIsMissingForAllIsNamed(t *testing.T) {
	fleet := func(change func(*judge.History)) (all []*judge.History) {
		for range 6 {
			h := again(high(judge.AsFound, 9.1), high(judge.AsLeft, 9.0), low(judge.AsFound, 8.7), low(judge.AsLeft, 8.6))
			h.Visits[0].AdjustedHigh = judge.Yes
			h.Readings[0].Analyzer = "A-2"
			change(h)
			all = append(all, h)
		}
		return all
	}
	each := func(change func(*judge.Reading)) func(*judge.History) {
		return func(h *judge.History) {
			for i := range h.Readings {
				change(&h.Readings[i])
			}
		}
	}
	nan := math.NaN()
	assert.Empty(t, Missing(fleet(func(*judge.History) {}), asOf))
	assert.Empty(t, Missing(fleet(func(*judge.History) {})[:2], asOf), "eight readings say nothing")
	for _, c := range []struct {
		lack   Lack
		change func(*judge.History)
	}{
		{LacksAirTemps, each(func(r *judge.Reading) { r.AirTempC = nan })},
		{LacksCO2Decimals, each(func(r *judge.Reading) { r.CO2Percent = 9 })},
		{LacksO2Decimals, each(func(r *judge.Reading) { r.CO2Percent, r.O2Percent = nan, 5 })},
		{LacksAdjustedFlags, func(h *judge.History) { h.Visits[0].AdjustedHigh = "" }},
		{LacksSecondAnalyzer, each(func(r *judge.Reading) { r.Analyzer = "A-1" })},
		{LacksAsFounds, each(func(r *judge.Reading) { r.Condition = judge.AsLeft })},
		{LacksAsLefts, each(func(r *judge.Reading) { r.Condition = judge.AsFound })},
		{LacksInstallDays, func(h *judge.History) { h.Unit.Installed = day.None }},
		{LacksControls, func(h *judge.History) { h.Unit.Control = "" }},
		{LacksTargets, func(h *judge.History) { h.Targets = nil }},
		{LacksCO, each(func(r *judge.Reading) { r.COPPM = nan })},
	} {
		assert.Equal(t, []Lack{c.lack}, Missing(fleet(c.change), asOf))
	}
}
