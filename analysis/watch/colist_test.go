package watch

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// named is a unit with a serial of its own.
func named(serial string, h *judge.History) *judge.History {
	h.Unit.Serial = serial
	return h
}

// free is an as found with CO air-free.
func free(ppm float64) judge.Reading {
	return withCO(high(judge.AsFound, 9.0), ppm, judge.AirFree, "")
}

// The list of CO holds what is urgent, for attention, rising over three visits,
// and what was not read at the last test of its fire, the worst first; low fire
// rich of its band with CO for attention is urgent, on target it is not.
func TestListOfCO(t *testing.T) {
	rising := again(free(30))
	for k, ppm := range []float64{60, 120} {
		visit(rising, dayOf(2025, time.December, 1+k), "annual", free(ppm))
	}
	for i := range rising.Visits {
		rising.Visits[i].Day = dayOf(2023+i, time.November, 3)
		rising.Readings[i].Day = rising.Visits[i].Day
	}
	missing := again(free(20))
	visit(missing, dayOf(2026, time.January, 12), "annual", withCO(high(judge.AsFound, 9.0), math.NaN(), "", ""))
	never := again(withCO(high(judge.AsFound, 9.0), math.NaN(), "", ""))
	lowFire := func(co2 float64) *judge.History {
		return again(free(10), withCO(low(judge.AsLeft, co2), 150, judge.AirFree, ""))
	}
	var lines []Line
	for _, h := range []*judge.History{
		named("A never", never), named("B missing", missing), named("C rising", rising), named("D attention", again(free(150))),
		named("E urgent", again(free(450))), named("F low rich", lowFire(8.9)), named("G low on target", lowFire(8.6)), named("H below",
			again(free(20))),
	} {
		lines = append(lines, Assess(h, testRules(), nil))
	}
	tiers := map[string]Ground{}
	for _, l := range lines {
		tiers[l.Unit.Serial] = l.Ground
	}
	require.Equal(t, []Ground{COUrgentNow, COUrgentNow, COForAttention, COForAttention},
		[]Ground{tiers["E urgent"], tiers["F low rich"], tiers["D attention"], tiers["G low on target"]})

	type told struct {
		serial, fire           string
		level                  Level
		older, missing, rising bool
	}
	var list []told
	for _, c := range CORecords(Order(lines), asOf) {
		rises := c.Trend != nil && c.Trend.Rising
		list = append(list, told{c.Unit.Serial, Say.CORecordFire(&c), c.CO.Level, c.Older, c.Missing, rises})
		if rises { // doubling every year
			require.Equal(t, 3, c.Trend.Visits)
			require.InDelta(t, 2, c.RisePerYear().Value, 0.01)
			require.Greater(t, c.RisePerYear().Low, 1.0)
		}
		require.Equal(t, c.CO.Day == day.None, c.DaysSince == -1)
	}
	require.Equal(t, []told{
		{"E urgent", "high fire", COUrgent, false, false, false},
		{"F low rich", "low fire", COUrgent, false, false, false},
		{"D attention", "high fire", COAttention, false, false, false},
		{"G low on target", "low fire", COAttention, false, false, false},
		{"C rising", "high fire", COAttention, false, false, true},
		{"B missing", "high fire", COBelow, true, true, false},
		{"H below", "high fire", COBelow, false, false, false},
		{"F low rich", "high fire", COBelow, false, false, false},
		{"G low on target", "high fire", COBelow, false, false, false},
		{"A never", "high fire", COUnknown, false, true, false},
	}, list)
}

// A lean reading has its cost in the story, with method and uncertainty; a rich
// one has none, and nothing calls it a saving. What leaning costs moves nobody on
// the list: of two units that differ in it alone the serial decides, whichever it is.
func TestCostIsToldAndOrdersNothing(t *testing.T) {
	at := func(serial string, co2, flueC float64) *judge.History {
		r := high(judge.AsLeft, co2)
		r.FlueTempC = flueC
		return named(serial, again(r))
	}
	cost := func(h *judge.History) []string {
		return Say.Costs(Tell(h, Assess(h, testRules(), nil), testRules()).Costs)
	}
	lean := cost(at("A", 8.4, 180))
	require.Len(t, lean, 1)
	require.Regexp(t, `^High fire, 0\.6 points lean of target on 3 Nov 2025: about \d\.\d % more fuel than on target \(-?\d\.\d to `+
		`\d\.\d; indirect balance with latent heat, `+
		`.*limits cover .*1\. BImSchV\)\. This alone is no reason to visit\.$`, lean[0])
	require.Empty(t, cost(at("A", 9.6, 180)))
	require.Empty(t, cost(at("A", 9.0, 180)))

	for _, serials := range [][2]string{{"A", "B"}, {"B", "A"}} {
		dear, cheap := at(serials[0], 8.4, 240), at(serials[1], 8.4, 80)
		require.NotEqual(t, cost(dear), cost(cheap))
		order := Order([]Line{Assess(dear, testRules(), nil), Assess(cheap, testRules(), nil)})
		require.Equal(t, "A", order[0].Unit.Serial)
	}
}
