package days

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// forecastLine is a unit with one fire: where it stands, how sure, and its
// chances today and in a worst month.
func forecastLine(off, sd float64, today, worst analysis.Chance) watch.Line {
	return watch.Line{
		Tier: watch.ExpectedOutside, Step: watch.BringForward, LastVisit: asOf - 365, Plan: watch.Plan{PlannedDay: asOf + 300},
		Unit:  judge.Unit{Serial: "1", Control: "ratio"},
		Fires: []watch.FireLine{{Fire: judge.High, Reading: &judge.Reading{Day: asOf - 365}, Target: judge.Target{CO2Percent: 9, SetRich: 0.2, SetLean: 0.2}}},
		Forecast: &analysis.Forecast{Fires: []analysis.FireForecast{{
			Fire: judge.High, CO2Percent: 9 + off, LowPercent: 9 + off - 1.6448536*sd, HighPercent: 9 + off + 1.6448536*sd,
			TargetCO2Percent: 9, ActRichPercent: 0.4, ActLeanPercent: 0.4, Today: today, Worst: worst, Planned: analysis.Chance{Day: asOf, Rich: today.Rich, Lean: today.Lean},
		}}},
	}
}

func worthAt(l watch.Line, day day.Day) float64 {
	r := Defaults(asOf + 1)
	w, _ := worthOf(&l, courses([]watch.Line{l}, asOf)[0], day, r)
	return w.days()
}

// Identities: a unit far outside that stays there is outside on every day until
// its planned day and, once set, inside on nearly all; one that stands on its
// target for sure gains nothing; the sooner the visit the more.
func TestWorth(t *testing.T) {
	sure := analysis.Chance{Day: asOf, Rich: 1}
	far := forecastLine(1.2, 0.1, sure, sure)
	days := float64(300 - 1)
	assert.InDelta(t, days, worthAt(far, asOf+1), 0.5)
	assert.Greater(t, worthAt(far, asOf+1), worthAt(far, asOf+20))
	none := analysis.Chance{Day: asOf}
	assert.InDelta(t, 0, worthAt(forecastLine(0, 0.05, none, none), asOf+1), 0.5)
	// what the weather alone does no visit takes away: set to target today, it
	// would stand the same in the worst month
	summer := analysis.Chance{Day: asOf + 135, Rich: 0.9}
	assert.Less(t, worthAt(forecastLine(0, 0.1, none, summer), asOf), 20.0)
	// but off its target by a quarter point it leaves the band far sooner
	assert.Greater(t, worthAt(forecastLine(0.25, 0.1, analysis.Chance{Day: asOf, Rich: upper(1.5)}, summer), asOf), 60.0)
}

// The swing of a season is the one that makes the forecast's own worst month
// come out.
func TestSwing(t *testing.T) {
	l := forecastLine(0.1, 0.1, analysis.Chance{Day: asOf, Rich: upper(3)}, analysis.Chance{Day: asOf + 130, Rich: 0.7})
	c := courses([]watch.Line{l}, asOf)[0][0]
	assert.InDelta(t, 0.7, c.without(asOf+130).rich, 1e-9)
	assert.InDelta(t, upper(3), c.without(asOf).rich, 1e-9)
	path := []analysis.PathPoint{{Day: asOf, CO2Percent: 9.1, LowPercent: 9, HighPercent: 9.2}, {Day: asOf + 100, CO2Percent: 9.6, LowPercent: 9.4, HighPercent: 9.8}}
	l.Forecast.Fires[0].Path = path
	c = courseOf(&l, &l.Forecast.Fires[0], asOf)
	mean, sd := c.at(asOf + 50)
	assert.InDelta(t, 0.35, mean, 1e-9) // half-way between 9.1 and 9.6, less 9
	assert.InDelta(t, 0.15/1.6448536, sd, 1e-6)
}

// What is left over says why.
func TestLeftOverHasReasons(t *testing.T) {
	place := Place{45, -35}
	line := func(serial, area, fuel string, lat float64) watch.Line {
		l := forecastLine(1.2, 0.1, analysis.Chance{Day: asOf, Rich: 1}, analysis.Chance{Day: asOf, Rich: 1})
		l.Unit = judge.Unit{Serial: serial, Site: "Site " + serial, Area: area, Fuel: fuel, LatitudeDeg: lat, LongitudeDeg: -35}
		return l
	}
	refused, fix, later := line("refused", "east", "natural gas", 45), line("fix", "east", "natural gas", 45), line("later", "east", "natural gas", 45)
	refused.Foot, refused.Answer = watch.FootAnswered, &judge.Answer{Day: asOf, Until: day.None, Answer: "refused"}
	fix.Step = watch.FixRecord
	later.Foot, later.Answer = watch.FootAnswered, &judge.Answer{Day: asOf, Until: asOf + 60, Answer: "planned"}
	in := Input{AsOf: asOf, Rules: Defaults(asOf + 1), Lines: []watch.Line{
		line("near", "east", "natural gas", 45.01), line("far", "east", "natural gas", 49),
		line("other area", "west", "natural gas", 45), line("other fuel", "east", "propane", 45), line("nowhere", "east", "natural gas", math.NaN()), refused, fix, later,
	}}
	for i := range in.Lines {
		in.Lines[i].Place = i + 1
	}
	in.Crews = []Crew{{Code: "A", Home: place, Areas: []string{"east"}, Fuels: []string{"natural gas"}}}
	in.Crews[0].Days[time.Tuesday] = Window{480, 960}
	p, err := Make(in)
	require.NoError(t, err)
	why := map[string]Cause{}
	for _, l := range p.Left {
		why[l.Line.Unit.Serial] = l.Why
	}
	assert.Equal(t, LeftTooLong, why["far"].Kind)
	assert.Equal(t, Cause{Kind: LeftNoCrew, Area: "west"}, why["other area"])
	assert.Equal(t, LeftNoAbleCrew, why["other fuel"].Kind)
	assert.Equal(t, "propane", why["other fuel"].Fuel)
	assert.Equal(t, LeftAtFoot, why["refused"].Kind)
	assert.Equal(t, LeftRecordFirst, why["fix"].Kind)
	assert.Equal(t, Cause{Kind: PromisedLater, Day: day.Of(2026, time.May, 1)}, why["later"])
	assert.NotContains(t, why, "near")
	assert.NotContains(t, why, "nowhere", "a unit without coordinates is planned by its area")
	for _, d := range p.Days {
		for _, s := range d.Stops {
			if s.Site == "Site nowhere" {
				assert.Equal(t, MiddleOfArea, s.PlaceFrom)
			}
		}
	}
}
