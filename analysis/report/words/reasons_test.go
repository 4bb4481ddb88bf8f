package words

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// The first sentence of a reason is what it says first, whatever stands in it: a name
// with a full stop ends no sentence.
func TestBriefly(t *testing.T) {
	l := &watch.Line{Reasons: []watch.Reason{
		watch.NoTargetDeclared{Unit: &judge.Unit{ModelLine: "No. 4", Fuel: "propane"}},
		watch.OutOfUse{State: "standby"},
	}}
	assert.Equal(t, `No target declared for model line "No. 4" on "propane".`, briefly(l))
	l.Reasons[0] = watch.NotInRegister{}
	assert.Equal(t, "Serial not in the register: only its CO is judged.", briefly(l))
	assert.Equal(t, []string{
		"Serial not in the register: only its CO is judged. Correct the serial in the record or add the unit to the register.",
		"Standby: it may be called on at any time.",
	}, Reasons(l))
	l.CommonCause = true
	assert.Equal(t, "Much of the fleet looks like this, and the head of the list names a likelier cause than this burner.", briefly(l))
	assert.Empty(t, briefly(&watch.Line{}))
}

// What the state of a unit and earlier lists add to an urgent CO ends its first
// sentence; a day that cannot be read is said once.
func TestUrgentCOInWords(t *testing.T) {
	unused := &watch.UnusedCO{
		UnusedCO: judge.UnusedCO{Day: day.None, LatestDay: 20000, COPPM: 900, Reason: "day-not-readable", Origin: "north.csv:9"},
		Level:    watch.COUrgent, PPM: 900,
	}
	l := &watch.Line{Ground: watch.COUrgentNow, AskedSince: 20031, Unit: judge.Unit{State: "isolated"}, Reasons: []watch.Reason{
		watch.COUnusable{CO: unused, FromPPM: 400, AsOf: 20062},
	}}
	const first = "CO 900 ppm on a record that could not be used, north.csv:9 (day not readable): at least that much " +
		"air-free, urgent from 400 ppm; read 2 months ago; recorded as isolated: make sure that it stays so until it is seen; asked " +
		"for since the list of 4 Nov 2024."
	assert.Equal(t, first, briefly(l))
	assert.Equal(t, []string{first + " Correct the record, or test the unit at every fire."}, Reasons(l))

	fire := &watch.FireLine{Fire: judge.High, CO: watch.CO{AirFreePPM: 530, Day: 20062, Level: watch.COUrgent}}
	l.Reasons[0] = watch.COFound{Fire: fire, FromPPM: 400, AsOf: 20062}
	l.AskedSince, l.Unit.State = 20062, ""
	assert.Equal(t, "High fire: CO 530 ppm air-free on 5 Dec 2024, urgent from 400 ppm; first asked for on this list.", briefly(l))
}

// That a last reading is unconfirmed is said once of a fire, and a worst day that is
// today is not said as if it were another.
func TestForecastIsSaidOnce(t *testing.T) {
	out := analysis.Probability{Day: 20000, Rich: 0.6, Lean: 0.001}
	f := analysis.FireForecast{
		Fire: judge.Single, CO2Percent: 9.4, LowPercent: 8.9, HighPercent: 9.9, TargetCO2Percent: 9, Today: out, Worst: out, Planned: out,
		Unconfirmed: &analysis.Unconfirmed{Day: 19990, ReadPercent: 9.8, ExpectedPercent: 9, MistakeProbability: 0.5},
	}
	forecast := &analysis.Forecast{Fires: []analysis.FireForecast{f}}
	fire := &forecast.Fires[0]
	l := &watch.Line{Forecast: forecast, Reasons: []watch.Reason{watch.Unconfirmed{Fire: fire}, watch.OutNow{Fire: fire, Chance: out}}}
	said := strings.Join(append(Reasons(l), Outlook(l)...), " ")
	assert.Equal(t, 1, strings.Count(said, "out of line"), said)
	assert.Contains(t, said, "The chance that its last reading was written wrongly is 50 %.")
	assert.Equal(t, 1, strings.Count(strings.Join(Outlook(&watch.Line{Forecast: forecast}), " "), "out of line"))
	assert.Equal(t, "60 % likely out of limits today, its worst day before the planned visit", todayAndWorst(fire, out))
	out.Day, out.Rich = 20100, 0.8
	assert.Equal(t, "60 % likely out of limits today, 80 % at worst before its planned visit (12 Jan 2025)", todayAndWorst(fire, out))
}

func TestFireLabels(t *testing.T) {
	for fire, want := range map[judge.Fire][2]string{
		judge.High: {"high fire", "high"}, judge.Low: {"low fire", "low"}, judge.Single: {"single fire", "single"}, judge.Point: {
			"point",
			"point",
		},
	} {
		assert.Equal(t, want, [2]string{FireLabel(fire, nan), fireShort(fire, nan)})
	}
	assert.Equal(t, "point at 62.5 % rate", FireLabel(judge.Point, 62.5))
	assert.Equal(t, "point at 62.5 % rate", fireShort(judge.Point, 62.5))
}
