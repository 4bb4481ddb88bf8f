package judge_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/combustion"
	"fluedrift/model/day"
	. "fluedrift/model/judge"
)

// meter is a history of readings of one analyzer; CO2 comes from O2 by a CO2max.
func meter(serial, fuel string, co2Max float64, d day.Day, o2 ...float64) *History {
	var visits []visit
	for k, v := range o2 {
		x := full(AsLeft, math.Round(10*co2Max*(1-v/20.9))/10, v, nan, nan, nan)
		x.Fuel, x.Analyzer = fuel, "A-1"
		visits = append(visits, on(d+day.Day(365*k), Yes, x))
	}
	h := history(visits...)
	h.Unit.Serial, h.Unit.Fuel = serial, fuel
	return h
}

// An analyzer whose pairs all follow from one CO2max computes CO2. Set to
// natural gas at a propane unit, it is named with the unit and what its O2
// means: by the straight line O2 5.7 is 8.5 on natural gas (11.7) and
// 10.0 on propane (13.7).
func TestAnalyzerSettings(t *testing.T) {
	r := rules(t)
	units := []*History{
		meter("G-1", "natural gas", 11.7, 10, 4.6, 4.9, 5.2, 5.5), meter("G-2", "natural gas", 11.7, 11, 4.7, 5.0, 5.3),
		meter("P-1", "propane", 13.7, 12, 5.4, 5.8, 6.1), meter("P-2", "propane", 11.7, 13, 5.7),
	}
	units[3].Readings[0].Target = setTo(8.5) // set to what the display was to show
	all := AnalyzerSettings(units, r)
	require.Len(t, all, 1)
	a := all[0]
	require.True(t, a.Computed)
	require.Equal(t, 11, a.Pairs)
	require.Equal(t, 1.0, a.Share)
	require.Less(t, a.FoSpread, 0.016, "rounding to a tenth at 9 %")
	require.Len(t, a.Settings, 2)
	require.InDelta(t, 11.7, a.Settings[0].CO2MaxPercent, 0.1)
	require.InDelta(t, 13.7, a.Settings[1].CO2MaxPercent, 0.1)
	require.Len(t, a.Other, 1)
	o := a.Other[0]
	require.Equal(t, []any{"P-2", "propane", "natural gas", true, true}, []any{o.Serial, o.Registered, o.SetTo, o.Set, o.Newest})
	require.InDelta(t, combustion.Fuel{CO2MaxPercent: 13.7, Air: 20.9}.CO2FromO2(5.7)-8.5, o.MeantPoints, 1e-9)

	for _, h := range units { // without ids the technician of a source stands for the analyzer
		for k := range h.Readings {
			h.Readings[k].Analyzer = ""
			h.Visits[h.Readings[k].Visit].Source, h.Visits[h.Readings[k].Visit].Technician = "north", "T-1"
		}
	}
	b := AnalyzerSettings(units, r)
	require.Len(t, b, 1)
	require.Equal(t, []any{"north/T-1", true, a.Pairs, a.Other}, []any{b[0].Analyzer, b[0].StandIn, b[0].Pairs, b[0].Other})

	scattered := []*History{meter("G-1", "natural gas", 11.7, 10, 4.6, 4.9, 5.2, 5.5, 4.4, 5.9, 5.0, 5.4, 4.8, 5.6)}
	for k := range scattered[0].Readings {
		scattered[0].Readings[k].CO2Percent += 0.3 * float64(k%3-1) // two cells
	}
	require.False(t, AnalyzerSettings(scattered, r)[0].Computed)
	require.Empty(t, AnalyzerSettings(scattered, r)[0].Other)
}

// Over invented fleets the visits with an analyzer set to the other fuel are
// listed under it, and hardly any other.
func TestAnalyzerSettingsOfAFleet(t *testing.T) {
	var r rate
	for _, seed := range seeds() {
		j := judgeFleet(t, seed, 600)
		rules := rules(t)
		delete(rules.Fuels, "butane")
		hs := make([]*History, len(j.histories))
		for i := range hs {
			hs[i] = &j.histories[i]
		}
		type at struct {
			serial string
			day    day.Day
		}
		found := map[at]bool{}
		for _, a := range AnalyzerSettings(hs, rules) {
			for _, o := range a.Other {
				found[at{o.Serial, o.Day}] = true
			}
		}
		for _, h := range hs {
			visit := -1
			for i := range h.Readings {
				x := &h.Readings[i]
				if x.Visit != visit && both(h, x) && x.Condition != Between && h.Visits[x.Visit].Reason != FactoryTest {
					visit = x.Visit
					r.count(j.otherFuel(h, x), found[at{h.Unit.Serial, x.Day}])
				}
			}
		}
	}
	t.Logf("visits with the analyzer set to another fuel than registered: %d of %d listed, %d of %d others", r.hit, r.planted, r.alarms,
		r.innocent)
	require.Greater(t, r.planted, 10)
	require.GreaterOrEqual(t, r.found(), 0.9)
	require.LessOrEqual(t, r.false(), 0.002)
}
