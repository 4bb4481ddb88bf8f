package words

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

var rowDay = day.Of(2026, time.March, 2)

// rowForecast is one fire, so likely rich today, on its planned day and at worst.
func rowForecast(today, worst float64) *analysis.FireForecast {
	return &analysis.FireForecast{
		Fire: judge.High, RatePercent: math.NaN(), CO2Percent: 9.44, LowPercent: 9.1, HighPercent: 9.62, TargetCO2Percent: 9.2,
		Today: analysis.Probability{Day: rowDay, Rich: today}, Worst: analysis.Probability{Day: rowDay.AddMonths(5), Rich: worst},
		Planned: analysis.Probability{Day: rowDay.AddMonths(8), Rich: today},
	}
}

// The chance of today stands first; the worst one with its month only where it is
// clearly larger; either is bold from one half on.
func TestChanceOfARow(t *testing.T) {
	line := func(today, worst float64) *watch.Line {
		return &watch.Line{OutProbability: today, Forecast: &analysis.Forecast{Fires: []analysis.FireForecast{*rowForecast(today, worst)}}}
	}
	assert.Equal(t, Two{First: "8 %", Second: "97 % by Aug", SecondBold: true}, RowChance(line(0.08, 0.97)))
	assert.Equal(t, Two{First: "60 %", FirstBold: true}, RowChance(line(0.6, 0.7)))
	assert.Equal(t, Two{First: "5 %", Second: "25 % by Aug"}, RowChance(line(0.05, 0.25)))
	assert.Equal(t, Two{First: "–", Second: "not judged"}, RowChance(&watch.Line{OutProbability: math.NaN()}))
}

// Why a unit stands where it does fits on one line, with what its place does not say.
func TestWhyOfARow(t *testing.T) {
	now := rowForecast(0.97, 0.97)
	ahead := rowForecast(0.2, 0.9)
	ahead.FirstOutside, ahead.FirstOutsideFrom, ahead.FirstOutsideTo = analysis.LeavingWithin, rowDay.AddMonths(1), rowDay.AddMonths(2)
	left := &watch.FireLine{
		Fire: judge.Low, RatePercent: math.NaN(), Target: judge.Target{CO2Percent: 8.7, O2Percent: math.NaN(), Origin: "x"},
		Reading: &judge.Reading{Day: rowDay - 30, Condition: judge.AsLeft, CO2Percent: 9.3, CO2Decimals: 1},
	}
	for want, r := range map[string]watch.Reason{
		"Almost surely out now, rich: high fire 9.4 % (9.1–9.6), target 9.2":   watch.OutNow{Fire: now, Chance: now.Today},
		"Likely out from Apr–May, rich: high fire 9.4 % (9.1–9.6), target 9.2": watch.OutAhead{Fire: ahead, Worst: ahead.Worst},
		"Low fire left at 9.3 % CO2 on 31 Jan 2026, target 8.7":                watch.LeftOff{Fire: left},
		"Serial not in the register: only its CO is judged":                    watch.NotInRegister{},
	} {
		l := &watch.Line{Reasons: []watch.Reason{r}}
		assert.Equal(t, want, RowWhy(l))
		assert.LessOrEqual(t, len([]rune(RowWhy(l))), 70)
	}
	co := watch.COFound{Fire: &watch.FireLine{Fire: judge.High, RatePercent: math.NaN(), CO: watch.CO{Day: rowDay - 40, AirFreePPM: 900}}}
	l := &watch.Line{Reasons: []watch.Reason{co}, LastVisit: rowDay - 40, Fires: []watch.FireLine{*co.Fire, {
		Fire: judge.Low, RatePercent: math.NaN(), CO: watch.CO{Day: rowDay - 40, AirFreePPM: 89.4},
	}}}
	assert.Equal(t, "Read 21 Jan 2026, low fire 89 ppm; no visit since", RowWhy(l))
	l.Foot, l.Answer, l.AnswerLapses = watch.FootIsolated, nil, 0
	assert.Equal(t, "Isolated: nothing to visit until it is put back", RowWhy(l))
}

// Every check has a line of its own, short enough for a row.
func TestEveryCheckIsBrief(t *testing.T) {
	for c := judge.TakeOutOfService; c <= judge.ReadAgain; c++ {
		assert.NotEmpty(t, checkBrief[c], c)
		assert.LessOrEqual(t, len(checkBrief[c]), 70, checkBrief[c])
	}
	assert.Len(t, checkBrief, len(checkWords))
}

// What changed since a unit was tested fits on one line.
func TestWhatChangedOfARow(t *testing.T) {
	fire := &watch.FireLine{Fire: judge.High, Reading: &judge.Reading{Day: rowDay - 90}}
	vent := watch.UntestedSince{Fire: fire, From: rowDay - 10, UncertainFrom: day.None}
	why := func(r watch.Reason) string { return RowWhy(&watch.Line{Reasons: []watch.Reason{r}}) }
	assert.Equal(t, "Vent run changed on 20 Feb 2026; last read on 2 Dec 2025", why(vent))
	vent.UncertainFrom = rowDay - 100
	assert.Equal(t, "Vent run changed by 20 Feb 2026; last read on 2 Dec 2025", why(vent))
	assert.Equal(t, "Fuel changed to propane on 20 Feb 2026; never read",
		why(watch.UntestedSince{Fire: &watch.FireLine{}, Fuel: "propane", From: rowDay - 10, UncertainFrom: day.None}))
	unit := &judge.Unit{ModelLine: "Kestrel 300", Fuel: "natural gas"}
	assert.Equal(t, "No target for Kestrel 300 on natural gas", why(watch.NoTargetDeclared{Unit: unit}))
}
