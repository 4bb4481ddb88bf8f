package judge_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/model/day"
	. "fluedrift/model/judge"
)

// carbon is a reading as found with CO air-free.
func carbon(ppm float64) Reading {
	x := value(AsFound, 9.0)
	x.COPPM, x.COBasis = ppm, AirFree
	return x
}

// yearly puts one visit a year together with the CO given.
func yearly(ppm ...float64) *History {
	var visits []visit
	for i, v := range ppm {
		visits = append(visits, on(day.Day(100+365*i), No, carbon(v)))
	}
	return history(visits...)
}

// Doubling every year is ln 2 a year; three visits on such a line are a rise
// where the analyzer can tell them apart.
func TestRisingCO(t *testing.T) {
	r := rules(t)
	c := r.CORecord(yearly(40, 80, 160), High, 10000).Trend()
	require.Equal(t, 3, c.Visits)
	require.InDelta(t, math.Ln2*365.25/365, c.PerYear.Value, 1e-9)
	require.True(t, c.Rising)
	require.Equal(t, []day.Day{100, 830}, []day.Day{c.FirstDay, c.LastDay})
	require.Equal(t, 160.0, c.LastPPM)

	for name, h := range map[string]*History{
		"falling": yearly(160, 80, 40), "level": yearly(60, 62, 61, 60), "two visits": yearly(40, 160),
		"within the analyzer's error": yearly(1, 4, 12), "up and down": yearly(40, 200, 50, 90),
		"three about a line": yearly(40, 120, 110), "none": history(),
	} {
		require.False(t, r.CORecord(h, High, 10000).Trend().Rising, name)
	}
	require.False(t, r.CORecord(yearly(40, 80, 160), Low, 10000).Trend().Rising, "another fire")
	require.Equal(t, 2, r.CORecord(yearly(40, 80, 160), High, 500).Trend().Visits, "only what was known")
	require.Equal(t, 6, r.CORecord(yearly(40, 40, 40, 40, 40, 40, 40, 40), High, 10000).Trend().Visits)
}

// What counts as a visit's CO.
func TestTrendReadings(t *testing.T) {
	r := rules(t)
	visits := func(change func(h *History)) int {
		h := yearly(40, 80, 160)
		change(h)
		return r.CORecord(h, High, 10000).Trend().Visits
	}
	last := func(h *History) *Reading { return &h.Readings[2] }
	require.Equal(t, 3, visits(func(h *History) { last(h).Condition = AsLeft }), "nothing was adjusted")
	require.Equal(t, 2, visits(func(h *History) { last(h).Condition = AsLeft; h.Visits[2].AdjustedHigh = Yes }))
	require.Equal(t, 2, visits(func(h *History) { last(h).COPPM = nan }))
	require.Equal(t, 2, visits(func(h *History) { last(h).Fuel = "propane" }))
	require.Equal(t, 2, visits(func(h *History) { h.Visits[2].Reason = FactoryTest }))
	require.Equal(t, 2, visits(func(h *History) { last(h).COBasis, last(h).CO2Percent = AsMeasured, nan }), "cannot be converted")
	require.Equal(t, 2, visits(func(h *History) { last(h).COLimit = Above }), "over a number is no number")
	require.Equal(t, 2, visits(func(h *History) { last(h).COLimit = Below }), "nor is below one")
	require.Equal(t, 3, visits(func(h *History) { last(h).COPPM, last(h).COLimit = 5, Below }), "within the limit of error it counts as that")
	require.Equal(t, 2, visits(func(h *History) { last(h).Day = h.Readings[1].Day }), "one a day")
}

// The slope is that of the logarithm: a factor on every CO changes nothing but
// the analyzer's share of the interval, and time runs both ways. Held to
// identities, well above the limit of error.
func TestSlopeProperties(t *testing.T) {
	r := rules(t)
	rapid.Check(t, func(t *rapid.T) {
		ppm := rapid.SliceOfN(rapid.Float64Range(200, 2000), 3, 6).Draw(t, "ppm")
		scaled, back := make([]float64, len(ppm)), make([]float64, len(ppm))
		for i, v := range ppm {
			scaled[i], back[len(ppm)-1-i] = 3*v, v
		}
		a, b, c := r.CORecord(yearly(ppm...), High, 10000).Trend(), r.CORecord(yearly(scaled...), High,
			10000).Trend(), r.CORecord(yearly(back...), High, 10000).Trend()
		require.InDelta(t, a.PerYear.Value, b.PerYear.Value, 1e-9)
		require.InDelta(t, a.PerYear.Low, b.PerYear.Low, 1e-9)
		require.InDelta(t, -a.PerYear.High, c.PerYear.Low, 1e-9)
		require.Less(t, a.PerYear.Low, a.PerYear.Value)
	})
}

// Where CO does not rise, chance makes a rise of no more than about the 2.5 %
// that one side of the interval leaves: counted over 4,000 invented units whose
// CO scatters by a factor about one level, from a fixed sequence.
func TestFalseAlarmsOfRisingCO(t *testing.T) {
	r := rules(t)
	const units = 4000
	normal := func(i int) float64 { // sum of twelve uniforms less six
		sum := -6.0
		for k := range 12 {
			sum += math.Mod(float64(i*12+k+1)*0.6180339887498949*float64(k+1.0), 1)
		}
		return sum
	}
	alarms := 0
	for u := range units {
		ppm := make([]float64, 3+u%4)
		for i := range ppm {
			ppm[i] = 60 * math.Exp(0.4*normal(u*7+i))
		}
		if r.CORecord(yearly(ppm...), High, 10000).Trend().Rising {
			alarms++
		}
	}
	share := float64(alarms) / units
	require.Less(t, share, 0.04)
	require.Positive(t, alarms, "a test that never fires shows nothing")
	t.Logf("false alarms: %.3f of %d units", share, units)
}

func TestCOMissing(t *testing.T) {
	h, r := yearly(40, 80, nan), rules(t)
	require.True(t, r.CORecord(h, High, 10000).Missing())
	require.False(t, r.CORecord(h, High, 500).Missing())
	require.False(t, r.CORecord(h, Low, 10000).Missing(), "never read")
	h.Readings[2].COLimit = Above
	require.False(t, r.CORecord(h, High, 10000).Missing(), "over range is a record")
	require.True(t, r.CORecord(history(on(1, No, carbon(nan), change(func(x *Reading) { x.Condition = Between }).with(carbon(5)))), High,
		10).Missing())
	require.False(t, r.CORecord(history(on(1, No, carbon(nan), change(func(x *Reading) { x.Condition = AsLeft }).with(carbon(5)))), High,
		10).Missing())
	idle := change(func(x *Reading) { x.O2Percent, x.CO2Percent = 20.9, nan }).with(carbon(0))
	require.True(t, r.CORecord(history(on(1, No, idle)), High, 10).Missing(), "no burner at work, no CO of one")
}

func TestUrgentAtLow(t *testing.T) {
	r := rules(t)
	x := low(carbon(120))
	x.CO2Percent = 9.3
	require.True(t, r.UrgentAtLow(&x, 100))
	for name, y := range map[string]Reading{
		"high":    change(func(x *Reading) { x.Fire = High }).with(x),
		"in band": change(func(x *Reading) { x.CO2Percent = 9.2 }).with(x),
		"lean":    change(func(x *Reading) { x.CO2Percent = 8.5 }).with(x),
		"at":      change(func(x *Reading) { x.COPPM = 100 }).with(x),
		"no CO":   change(func(x *Reading) { x.COPPM = nan }).with(x),
	} {
		require.False(t, r.UrgentAtLow(&y, 100), name)
	}
}
