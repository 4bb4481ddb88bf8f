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
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// forecastLine is a unit with one fire and its chance of standing rich of its limits
// without and after a visit, the same on every day.
func forecastLine(without, visited float64) watch.Line {
	f := analysis.FireForecast{Fire: judge.High, TargetCO2Percent: 9, ActRichPercent: 0.4, ActLeanPercent: 0.4}
	for d := day.Day(0); d <= 400; d += 20 {
		f.Harm = append(f.Harm, analysis.HarmPoint{
			Day: asOf + d, Without: drift.Harm{Rich: without}, Visited: drift.Harm{Rich: visited},
		})
	}
	return watch.Line{
		Ground: watch.ExpectedOutside, Group: watch.BookSooner, LastVisit: asOf - 365, Plan: watch.Plan{PlannedDay: asOf + 300},
		Unit:     judge.Unit{Serial: "1", Control: "ratio"},
		Forecast: &analysis.Forecast{Fires: []analysis.FireForecast{f}},
	}
}

// A visit is worth what the list says it avoids; one that does harm is worth nothing;
// without a forecast the share of the tier stands in.
func TestWorth(t *testing.T) {
	r := DefaultConfig(asOf + 1)
	at := func(l watch.Line, day day.Day) (benefit, bool) { return benefitOf(&l, day, r) }
	far, guessed := at(forecastLine(1, 0), asOf+1)
	assert.False(t, guessed)
	assert.InDelta(t, 90, far.days, 1e-9)
	assert.InDelta(t, 90, far.key, 1e-9)
	harmed, _ := at(forecastLine(0.1, 0.4), asOf+1)
	assert.Equal(t, benefit{}, harmed)
	none := forecastLine(1, 0)
	none.Forecast, none.Ground = nil, watch.LeftOutside
	w, guessed := at(none, asOf+1)
	assert.True(t, guessed)
	assert.InDelta(t, (0.6-shareAfterVisit)*90, w.days, 1e-9)
	// A unit that leaves its limits later is worth more on the later day.
	later := forecastLine(0, 0)
	for i := range later.Forecast.Fires[0].Harm {
		later.Forecast.Fires[0].Harm[i].Without.Rich = float64(i) / 20
	}
	soon, _ := at(later, asOf+1)
	late, _ := at(later, asOf+27)
	assert.Greater(t, late.days, soon.days)
}

// What is left over says why.
func TestLeftOverHasReasons(t *testing.T) {
	place := Place{45, -35}
	line := func(serial, area, fuel string, lat float64) watch.Line {
		l := forecastLine(1, 0)
		l.Unit = judge.Unit{Serial: serial, Site: "Site " + serial, Area: area, Fuel: fuel, LatitudeDeg: lat, LongitudeDeg: -35}
		return l
	}
	refused, fix, later := line("refused", "east", "natural gas", 45), line("fix", "east", "natural gas", 45), line("later", "east",
		"natural gas", 45)
	refused.Foot, refused.Answer = watch.FootAnswered, &judge.Answer{Day: asOf, Until: day.None, Answer: "refused"}
	fix.Group = watch.AskFirst
	later.Foot, later.Answer = watch.FootAnswered, &judge.Answer{Day: asOf, Until: asOf + 60, Answer: "planned"}
	in := Input{AsOf: asOf, Rules: DefaultConfig(asOf + 1), Lines: []watch.Line{
		line("near", "east", "natural gas", 45.01), line("far", "east", "natural gas", 49),
		line("other area", "west", "natural gas", 45), line("other fuel", "east", "propane", 45), line("nowhere", "east", "natural gas",
			math.NaN()), refused, fix, later,
	}}
	for i := range in.Lines {
		in.Lines[i].Rank = i + 1
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
	assert.Equal(t, LeftAskFirst, why["fix"].Kind)
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
