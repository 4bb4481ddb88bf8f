package watch

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// harmed is a forecast of high fire whose chance out of limits on the lean side stays for
// some days and is nothing after them; a visit takes it away. Made up.
func harmed(out float64, days int) *analysis.Forecast {
	f := analysis.FireForecast{
		Fire: judge.High, RatePercent: math.NaN(), CO2Percent: 8.6, LowPercent: 8.3, HighPercent: 8.9, TargetCO2Percent: 9.0,
		ActRichPercent: 0.3, ActLeanPercent: 0.3, Today: analysis.Probability{Day: asOf, Lean: out},
	}
	for d := 0; d <= 420; d++ {
		p := analysis.HarmPoint{Day: asOf + day.Day(d)}
		if d < days {
			p.Without = drift.Harm{Lean: out, LeanBeyond: 0.1 * out}
		}
		f.Harm = append(f.Harm, p)
	}
	return &analysis.Forecast{Fires: []analysis.FireForecast{f}}
}

// A unit is booked sooner where a visit now avoids days enough; below the line it can
// wait however likely it is out now, and says what it is below and what the weather does.
func TestBookedSoonerByWhatAVisitAvoids(t *testing.T) {
	l := Assess(unit(), testRules(), harmed(0.9, 60))
	assert.Equal(t, BookSooner, l.Group)
	assert.Equal(t, ProbablyOutside, l.Ground)

	l = Assess(unit(), testRules(), harmed(0.9, 14))
	require.Equal(t, CanWait, l.Group)
	all := strings.Join(said(l), " ")
	assert.Contains(t, all, "90 % likely out of limits today")
	assert.Contains(t, all, "A visit now avoids about 12 days out of limits; 20 is the line.")
	assert.Contains(t, all, "The weather is expected to bring it back inside about 16 Mar 2026.")
	assert.False(t, l.Due())

	l = Assess(unit(), testRules(), harmed(0.3, 90))
	assert.Equal(t, BookSooner, l.Group, "days add up, whatever the chance of one")
	assert.Equal(t, EnoughAvoided, l.Ground)
}

// What the list before booked sooner stays so until fewer days, and then says the line
// from which it would be booked again.
func TestWhatWasBookedStaysSo(t *testing.T) {
	between := harmed(0.9, 20) // 18 days
	r := testRules()
	fresh := Assess(unit(), r, between)
	assert.Equal(t, CanWait, fresh.Group)
	r.Booked = BookedIn([]Earlier{{Serial: fresh.Unit.Serial, Group: BookSooner}})
	kept := Assess(unit(), r, between)
	assert.Equal(t, BookSooner, kept.Group)
	assert.Equal(t, []string{kept.Unit.Serial}, StillBooked([]Line{kept, fresh}))
	for _, days := range []int{10, 60} {
		l := Assess(unit(), r, harmed(0.9, days))
		assert.False(t, l.StillBooked, "%d days", days)
	}
	assert.Contains(t, strings.Join(said(Assess(unit(), r, harmed(0.9, 10))), " "), "20 is the line")
}

// CO for attention and a vent that changed are booked sooner whatever a visit avoids.
func TestSomeAreBookedSoonerWhateverTheForecast(t *testing.T) {
	calm := harmed(0, 0)
	co := again(withCO(high(judge.AsLeft, 9.0), 150, judge.AirFree, ""), low(judge.AsLeft, 8.6))
	assert.Equal(t, BookSooner, Assess(co, testRules(), calm).Group)
	changed := unit()
	run := changed.VentRuns[0]
	changed.VentRuns[0].Until, run.From = dayOf(2026, 1, 5), dayOf(2026, 1, 5)
	changed.VentRuns = append(changed.VentRuns, run)
	assert.Equal(t, BookSooner, Assess(changed, testRules(), calm).Group)
}

// A unit off for the season stands at the foot of those that can wait; one whose CO is
// urgent never does.
func TestOffForTheSeasonStandsAtTheFoot(t *testing.T) {
	h := unit()
	h.Unit.State = judge.OffForTheSeason
	l := Assess(h, testRules(), harmed(0.9, 90))
	assert.Equal(t, CanWait, l.Group)
	assert.Equal(t, FootOffSeason, l.Foot)
	urgent := again(withCO(high(judge.AsLeft, 9.0), 900, judge.AirFree, ""), low(judge.AsLeft, 8.6))
	urgent.Unit.State = judge.OffForTheSeason
	l = Assess(urgent, testRules(), nil)
	assert.Equal(t, NoFoot, l.Foot)
	assert.Equal(t, AskFirst, l.Group)
}

// The key of a unit booked sooner never jumps where a chance crosses one half or a planned
// day passes, and grows with the deviation.
func TestTheKeyIsSmooth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := harmed(0.49, 90)
		rules := testRules()
		key := func(out float64, planned day.Day) float64 {
			for i := range f.Fires[0].Harm {
				if f.Fires[0].Harm[i].Day < asOf+90 {
					f.Fires[0].Harm[i].Without = drift.Harm{Lean: out, LeanBeyond: 0.1 * out}
				}
			}
			b, _ := f.Benefit(asOf, planned, rules.Visit)
			return b.Key
		}
		planned := asOf + day.Day(rapid.IntRange(-60, 300).Draw(t, "planned"))
		low, more := rapid.Float64Range(0, 0.98).Draw(t, "out"), rapid.Float64Range(0, 0.02).Draw(t, "more")
		require.LessOrEqual(t, key(low, planned), key(low+more, planned))
		require.InDelta(t, key(0.4999, planned), key(0.5001, planned), 0.1)
		require.InDelta(t, key(low, planned), key(low, planned+1), 1.5, "a day of harm at most")
	})
}

// A unit that is seen to for its CO is not told how little a visit avoids.
func TestBelowTheLineIsNoMatterWhereAUnitIsSeenTo(t *testing.T) {
	co := again(withCO(high(judge.AsLeft, 9.0), 150, judge.AirFree, ""), low(judge.AsLeft, 8.6))
	l := Assess(co, testRules(), harmed(0.9, 14))
	require.Equal(t, BookSooner, l.Group)
	all := strings.Join(said(l), " ")
	assert.Contains(t, all, "90 % likely out of limits today")
	assert.NotContains(t, all, "is the line")
}
