package watch

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"fluedrift/model/judge"
)

// anyLine draws a line from few values, so that ties in most keys are common.
func anyLine(t *rapid.T, key int) Line {
	pick := func(name string, values ...float64) float64 { return rapid.SampledFrom(values).Draw(t, name) }
	l := Line{
		Unit: judge.Unit{Key: int32(key), Serial: rapid.SampledFrom([]string{"A", "B", "a"}).Draw(t, "serial"), InputKW: pick("input", 100, 200, math.NaN())},
		Tier: rapid.SampledFrom(Tiers()).Draw(t, "tier"), Side: rapid.SampledFrom([]Side{NoSide, Rich, Lean}).Draw(t, "side"),
		OutProbability: pick("today", 0.1, 0.11, 0.6, math.NaN()), WorstOutProbability: pick("worst", 0.1, 0.11, 0.6, math.NaN()), DaysSinceRoutine: int32(pick("days", -1, 10, 500)), DaysOverdue: int32(pick("overdue", -30, 0, 30)),
		CO: CO{AirFreePPM: pick("co", 0, 4, 6, 500, math.NaN()), Level: rapid.SampledFrom([]Level{COUnknown, COBelow, COUrgent}).Draw(t, "level")},
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
		if l.Place != i+1 {
			return nil
		}
		out = append(out, l.Unit.Key)
	}
	return out
}

// Each key decides when those before it are equal.
func TestOrderKeys(t *testing.T) {
	base := Line{Tier: ToPlan, OutProbability: 0.2, WorstOutProbability: 0.3, DaysSinceRoutine: 100, DaysOverdue: -100, Unit: judge.Unit{Serial: "M", InputKW: 100}, CO: CO{Level: COBelow, AirFreePPM: 20}}
	with := func(change func(*Line)) Line { l := base; change(&l); return l }
	for name, c := range map[string]struct{ above, below Line }{
		"list before foot":               {base, with(func(l *Line) { l.Tier, l.Foot, l.Answer = FuelInDoubt, FootAnswered, &judge.Answer{Answer: "refused"} })},
		"tier":                           {with(func(l *Line) { l.Tier = TestOverdue }), base},
		"probability":                    {with(func(l *Line) { l.WorstOutProbability = 0.36 }), with(func(l *Line) { l.OutProbability = 0.3 })},
		"probability within 0.05 is not": {with(func(l *Line) { l.Side = Rich }), with(func(l *Line) { l.WorstOutProbability = 0.31 })},
		"rich before lean":               {with(func(l *Line) { l.Side = Rich }), with(func(l *Line) { l.Side, l.CO.AirFreePPM = Lean, 90 })},
		"lean before neither":            {with(func(l *Line) { l.Side = Lean }), base},
		"CO":                             {with(func(l *Line) { l.CO.AirFreePPM = 40 }), with(func(l *Line) { l.Unit.InputKW = 500 })},
		"input":                          {with(func(l *Line) { l.Unit.InputKW = 101 }), with(func(l *Line) { l.DaysSinceRoutine = 900 })},
		"input known":                    {base, with(func(l *Line) { l.Unit.InputKW = math.NaN() })},
		"days":                           {with(func(l *Line) { l.DaysSinceRoutine = 101 }), with(func(l *Line) { l.Unit.Serial = "A" })},
		"never tested":                   {with(func(l *Line) { l.DaysSinceRoutine = -1 }), with(func(l *Line) { l.DaysSinceRoutine = 9000 })},
		"serial":                         {with(func(l *Line) { l.Unit.Serial = "L" }), base},
		"urgent CO before side": {
			with(func(l *Line) { l.Tier, l.CO = COUrgentNow, CO{Level: COUrgent, AirFreePPM: math.NaN()} }),
			with(func(l *Line) { l.Tier, l.CO, l.Side = COUrgentNow, CO{Level: COUrgent, AirFreePPM: 2000}, Rich }),
		},
		"longest overdue": {with(func(l *Line) { l.Tier, l.DaysOverdue = TestOverdue, 300 }), with(func(l *Line) { l.Tier, l.DaysOverdue, l.CO.AirFreePPM = TestOverdue, 3, 80 })},
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
