package watch

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// anyLine draws a line from few values, so that ties in most keys are common.
func anyLine(t *rapid.T, key int) Line {
	pick := func(name string, values ...float64) float64 { return rapid.SampledFrom(values).Draw(t, name) }
	l := Line{
		Unit: judge.Unit{
			Key: int32(key), Serial: rapid.SampledFrom([]string{"A", "B", "a"}).Draw(t, "serial"),
			InputKW: pick("input", 100, 200, math.NaN()),
		},
		Group: rapid.SampledFrom(Groups()).Draw(t, "group"), Ground: rapid.SampledFrom([]Ground{NotTestedSince, LeftOutside}).Draw(t, "ground"),
		Benefit: analysis.Benefit{Key: pick("key", -1, 20, 20.01, 60,
			math.NaN())}, Plan: Plan{PlannedDay: day.Day(pick("planned", 20_000,
			20_100))}, DaysSinceRoutine: int32(pick("days", -1, 10, 500)), DaysOverdue: int32(pick("overdue", -30, 0, 30)),
		CO: CO{AirFreePPM: pick("co", 0, 4, 6, 500, math.NaN()), Level: rapid.SampledFrom([]Level{COUnknown, COBelow, COUrgent}).Draw(t,
			"level")},
	}
	if rapid.Bool().Draw(t, "answered") {
		l.Foot, l.Answer = FootAnswered, &judge.Answer{Answer: rapid.SampledFrom(append([]string{"?"}, answerOrder...)).Draw(t, "answer")}
	}
	return l
}

func anyLines(t *rapid.T, n int) []Line {
	lines := make([]Line, n)
	for i := range lines {
		lines[i] = anyLine(t, i)
	}
	return lines
}

// The order is total: antisymmetric, transitive, and never a tie.
func TestOrderIsTotal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLines(t, 3)
		for i := range l {
			for j := range l {
				ij, ji := compareLines(&l[i], &l[j]), compareLines(&l[j], &l[i])
				assert.Equal(t, ij, -ji)
				assert.Equal(t, i == j, ij == 0)
			}
		}
		if compareLines(&l[0], &l[1]) < 0 && compareLines(&l[1], &l[2]) < 0 {
			assert.Negative(t, compareLines(&l[0], &l[2]))
		}
	})
}

// Any order of the same lines gives the same list.
func TestOrderIgnoresInput(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lines := anyLines(t, rapid.IntRange(1, 12).Draw(t, "n"))
		shuffled := rapid.Permutation(lines).Draw(t, "shuffled")
		assert.Equal(t, keys(Order(lines)), keys(Order(shuffled)))
	})
}

func keys(lines []Line) []int32 {
	var out []int32
	for i, l := range lines {
		if l.Rank != i+1 {
			return nil
		}
		out = append(out, l.Unit.Key)
	}
	return out
}

// Each key decides when those before it are equal.
func TestOrderKeys(t *testing.T) {
	base := Line{
		Group: CanWait, DaysSinceRoutine: 100, DaysOverdue: -100, Benefit: analysis.Benefit{Key: 30},
		Unit: judge.Unit{Serial: "M", InputKW: 100}, CO: CO{Level: COBelow, AirFreePPM: 20},
	}
	with := func(change func(*Line)) Line { l := base; change(&l); return l }
	in := func(group Group, change func(*Line)) Line { l := with(change); l.Group = group; return l }
	same := func(*Line) {}
	for name, c := range map[string]struct{ above, below Line }{
		"list before foot": {base, in(AskFirst, func(l *Line) { l.Foot, l.Answer = FootAnswered, &judge.Answer{Answer: "refused"} })},
		"group":            {in(TestOverdue, same), base},
		"what a visit avoids": {
			in(BookSooner, func(l *Line) { l.Benefit.Key = 30.1 }), in(BookSooner, func(l *Line) { l.CO.AirFreePPM = 90 }),
		},
		"no forecast below all that have one": {
			in(BookSooner, func(l *Line) { l.Benefit.Key = -3 }), in(BookSooner, func(l *Line) { l.Benefit.Key = math.NaN() }),
		},
		"without a forecast by CO": {
			in(BookSooner, func(l *Line) { l.Benefit.Key, l.CO.AirFreePPM = math.NaN(), 90 }),
			in(BookSooner, func(l *Line) { l.Benefit.Key, l.Ground = math.NaN(), NotTestedSince }),
		},
		"then a change of vent or fuel": {
			in(BookSooner, func(l *Line) { l.Benefit.Key, l.Ground = math.NaN(), NotTestedSince }),
			in(BookSooner, func(l *Line) { l.Benefit.Key, l.DaysOverdue = math.NaN(), 50 }),
		},
		"digits nobody can vouch for decide nothing": {
			in(BookSooner, func(l *Line) { l.CO.AirFreePPM = 90 }), in(BookSooner, func(l *Line) { l.Benefit.Key = 30.04 }),
		},
		"planned day": {with(func(l *Line) { l.PlannedDay = 5 }), with(func(l *Line) { l.PlannedDay, l.Benefit.Key = 6, 90 })},
		"CO":          {with(func(l *Line) { l.CO.AirFreePPM = 40 }), with(func(l *Line) { l.Unit.InputKW = 500 })},
		"input":       {with(func(l *Line) { l.Unit.InputKW = 101 }), with(func(l *Line) { l.DaysSinceRoutine = 900 })},
		"input known": {base, with(func(l *Line) { l.Unit.InputKW = math.NaN() })},
		"days":        {with(func(l *Line) { l.DaysSinceRoutine = 101 }), with(func(l *Line) { l.Unit.Serial = "A" })},
		"never tested": {
			with(func(l *Line) { l.DaysSinceRoutine = -1 }), with(func(l *Line) { l.DaysSinceRoutine = 9000 }),
		},
		"serial": {with(func(l *Line) { l.Unit.Serial = "L" }), base},
		"urgent CO first": {
			in(GoToday, func(l *Line) { l.CO = CO{Level: COUrgent, AirFreePPM: math.NaN()} }),
			in(GoToday, func(l *Line) { l.CO, l.Benefit.Key = CO{Level: COUrgent, AirFreePPM: 2000}, 300 }),
		},
		"asked first for its CO": {
			in(AskFirst, func(l *Line) { l.CO = CO{Level: COAttention, AirFreePPM: 120} }),
			in(AskFirst, func(l *Line) { l.Benefit.Key = 300 }),
		},
		"asked first for what a visit avoids": {
			in(AskFirst, func(l *Line) { l.Benefit.Key = 31 }), in(AskFirst, func(l *Line) { l.CO.AirFreePPM = 90 }),
		},
		"longest overdue": {
			in(TestOverdue, func(l *Line) { l.DaysOverdue = 300 }),
			in(TestOverdue, func(l *Line) { l.DaysOverdue, l.CO.AirFreePPM, l.Benefit.Key = 3, 80, 19 }),
		},
	} {
		t.Run(name, func(t *testing.T) {
			assert.Negative(t, compareLines(&c.above, &c.below))
			assert.Positive(t, compareLines(&c.below, &c.above))
		})
	}
}

// A unit whose gas was recorded as O2 to two decimals stands where its CO2
// twin stands (the twin's O2 by CO2/CO2max + O2/air = 1).
func TestO2Twin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var co2, o2 []Line
		for i := range rapid.IntRange(2, 8).Draw(t, "n") {
			h := unit()
			h.Unit.Key, h.Unit.Serial = int32(i), string(rune('A'+i))
			for j := range h.Readings {
				h.Readings[j].CO2Percent = math.Round(10*rapid.Float64Range(8, 9.6).Draw(t, "co2")) / 10
				h.Readings[j].COPPM = 10 + 40*float64(rapid.IntRange(0, 9).Draw(t, "co"))
				h.Readings[j].COBasis = judge.AirFree
			}
			twin := *h
			twin.Readings = append([]judge.Reading(nil), h.Readings...)
			for j := range twin.Readings {
				fuel := testRules().fuel("natural gas")
				twin.Readings[j] = withO2(twin.Readings[j], math.Round(100*fuel.O2FromCO2(h.Readings[j].CO2Percent))/100)
				twin.Readings[j].O2Decimals = 2
			}
			co2, o2 = append(co2, Assess(h, testRules(), nil)), append(o2, Assess(&twin, testRules(), nil))
		}
		assert.Equal(t, keys(Order(co2)), keys(Order(o2)))
	})
}
