package judge_test

import (
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
	. "fluedrift/model/judge"
)

// years is a history of a unit at both fires: high at 9.0 % CO2 and 62 degC, low
// at 7.2 % and 50 degC, a little different from year to year, and one visit more
// with the given readings.
func years(last ...Reading) *History {
	var visits []visit
	for k, d := range []float64{0, 0.1, -0.1, 0.1, 0} {
		h, l := full(AsFound, 9.0+d, nan, 12, 62+10*d, 10), low(full(AsFound, 7.2-d, nan, 14, 50-5*d, 10+d))
		l.Target = setTo(7.2)
		visits = append(visits, on(day.Day(100+365*k), No, h, l))
	}
	h := history(append(visits, on(3000, No, last...))...)
	h.VentRuns = []VentRun{{Known: true, AirFrom: "own run"}}
	for i := range h.Visits {
		h.Visits[i].OutdoorTempC = 9
	}
	for i := range h.Readings {
		h.Readings[i].VentRun = 0
		if h.Readings[i].Fire == Low {
			h.Readings[i].Target = setTo(7.2)
		}
	}
	return h
}

// Each finding against the unit's own history, with the nearest miss beside it.
func TestAgainstUsual(t *testing.T) {
	o2 := func(v float64) Reading { return full(AsFound, nan, v, 12, 62, 10) }
	for name, c := range map[string]struct {
		last []Reading
		want []Kind
		use  Use // of the last reading
	}{
		"in order":               {[]Reading{full(AsFound, 9.05, nan, 12, 63, 10)}, nil, Used},
		"O2 4.9 typed as CO2":    {[]Reading{full(AsFound, 4.9, nan, 12, 62.5, 10)}, []Kind{OtherGas}, Marked},
		"CO2 9.0 typed as O2":    {[]Reading{o2(9.0)}, []Kind{OtherGas}, Marked},
		"a lean reading is none": {[]Reading{full(AsFound, 7.0, nan, 12, 62.5, 10)}, nil, Used},
		"fires exchanged": {
			[]Reading{full(AsFound, 7.2, nan, 14, 50.5, 10), low(full(AsFound, 9.0, nan, 12, 62.5, 10))},
			[]Kind{SwappedFires, SwappedFires},
			LeftOut,
		},
		"both fires alike are not exchanged": {
			[]Reading{full(AsFound, 8.4, nan, 14, 57, 10), low(full(AsFound, 8.4, nan, 12, 57, 10))},
			nil,
			Used,
		},
		"low fire hotter, CO2 right": {
			[]Reading{full(AsFound, 9.0, nan, 14, 57, 10), low(full(AsFound, 7.2, nan, 12, 58, 10))},
			nil,
			Used,
		},
		"flue of 144 is 62 degC in degF": {[]Reading{full(AsFound, 9.05, nan, 12, 144, 50)}, []Kind{TempUnit, RoomProbe}, StateOnly},
		"flue of 110 is neither":         {[]Reading{full(AsFound, 9.05, nan, 12, 110, 10)}, nil, Used},
		"flue below the air":             {[]Reading{full(AsFound, 9.05, nan, 12, 40, 44)}, []Kind{TempUnit, RoomProbe}, StateOnly},
		"room air":                       {[]Reading{full(AsFound, 9.05, nan, 12, 62.5, 24)}, []Kind{RoomProbe}, StateOnly},
		"air a little warmer":            {[]Reading{full(AsFound, 9.05, nan, 12, 62.5, 18)}, nil, Used},
		"flue hardly warm":               {[]Reading{full(AsFound, 8.8, nan, 12, 33, 10)}, []Kind{EarlyReading}, LeftOut},
		"flue cool":                      {[]Reading{full(AsFound, 9.05, nan, 12, 48, 10)}, nil, Used},
		"a minute after the start": {
			[]Reading{change(func(x *Reading) { x.MinutesFiring = 1 }).with(full(AsFound, 8.8, nan, 12, 61, 10))},
			[]Kind{EarlyReading},
			LeftOut,
		},
		"two minutes after": {
			[]Reading{change(func(x *Reading) { x.MinutesFiring = 2 }).with(full(AsFound, 9.05, nan, 12, 61.2, 10))},
			nil,
			Used,
		},
		"high at 60 %": {
			[]Reading{change(func(x *Reading) { x.RatePercent = 60 }).with(full(AsFound, 8.8, nan, 12, 61, 10))},
			[]Kind{LowRate},
			LeftOut,
		},
		"high at 85 %": {[]Reading{change(func(x *Reading) { x.RatePercent = 85 }).with(full(AsFound, 8.8, nan, 12, 61, 10))}, nil, Used},
	} {
		h := years(c.last...)
		j := Judge(h, rules(t))
		require.Equal(t, c.want, kinds(j), name)
		require.Equal(t, c.use, j.Uses[len(j.Uses)-1], name)
		for _, f := range j.Findings {
			require.Contains(t, factsOf[f.Kind], reflect.TypeOf(f.Facts), name)
			require.Equal(t, f.Kind == RoomProbe || f.Kind == TempUnit, j.AirDoubted(f.Readings[0]), name)
		}
	}
	inRoom := years(change(func(x *Reading) { x.AirTempAt = AtRoom }).with(full(AsFound, 9.05, nan, 12, 62.5, 12)))
	require.Equal(t, []Kind{RoomProbe}, kinds(Judge(inRoom, rules(t))))
	inRoom.VentRuns[0].AirFrom = "room"
	require.Empty(t, kinds(Judge(inRoom, rules(t))), "drawn from the room")
}

// Pairs of O2 and CO2: 9.0 with 4.8 is natural gas (11.7), 4.8 with 9.0 that
// exchanged, 9.0 with 7.2 propane (13.7), 10.0 with 4.8 neither. Diluted with
// air a pair stays on its line (8.0 with 6.6).
func TestPairs(t *testing.T) {
	for name, c := range map[string]struct {
		co2, o2 float64
		want    []Kind
	}{
		"in order": {9.0, 4.8, nil}, "diluted": {8.0, 6.6, nil}, "another analyzer's 12.0": {9.0, 5.2, nil},
		"exchanged": {4.8, 9.0, []Kind{SwappedGases}}, "propane": {9.0, 7.2, []Kind{OtherSetting}},
		"of no fuel": {10.0, 3.0, nil}, "typed wrong": {7.0, 4.8, []Kind{PairApart}}, "near 7.5 nothing shows": {7.4, 7.6, nil},
		"hardly any flue gas": {2.0, 16, nil}, "no burner at work": {1.0, 18, []Kind{NoBurner}},
	} {
		j := Judge(history(on(100, No, full(AsFound, c.co2, c.o2, nan, 62, 10))), rules(t))
		require.Equal(t, c.want, kinds(j), name)
		if len(c.want) > 0 && c.want[0] != OtherSetting {
			require.Equal(t, LeftOut, j.Uses[0], name)
		}
	}
	label := Judge(history(on(100, No, full(AsFound, 9.0, 7.2, nan, 62, 10))), rules(t))
	require.Equal(t, StateOnly, label.Uses[0], "all pairs fit it: the label may be wrong")
	require.Equal(t, "propane", label.Findings[0].OtherFuel)
	require.InDelta(t, 11.8*(1-7.2/20.9), label.Findings[0].Facts.(ByO2).CO2Percent, 1e-9)
	uncertain := history(on(100, No, change(func(x *Reading) { x.FuelUncertain = true }).with(full(AsFound, 9.0, 7.2, nan, 62, 10))))
	require.Empty(t, kinds(Judge(uncertain, rules(t))))
}

// CO on two bases of one measurement: 100 ppm at 5.0 % O2 are 131.4 air-free
// (40 CFR 62.14650(f)).
func TestCOBases(t *testing.T) {
	pair := func(measured, free float64) *History {
		x, y := full(AsFound, 9.0, 5.0, measured, 62, 10), full(AsFound, 9.0, 5.0, free, 62, 10)
		x.COBasis, y.COBasis, y.Condition = AsMeasured, AirFree, Between
		return history(on(100, No, x, y))
	}
	require.Empty(t, kinds(Judge(pair(100, 131.4), rules(t))))
	require.Equal(t, []Kind{COBasis}, kinds(Judge(pair(131.4, 100), rules(t))))
	require.Empty(t, kinds(Judge(pair(100, nan), rules(t))), "one alone says nothing")
}

// What moved away from the unit's own: each quantity beyond its limit, and just
// within.
func TestMoved(t *testing.T) {
	for name, c := range map[string]struct {
		of           Quantity
		set          func(*Reading, float64)
		usual        float64
		beyond, less float64
	}{
		"supply pressure":   {SupplyPressure, func(x *Reading, v float64) { x.SupplyPa = v }, 1740, 1500, 1600},
		"manifold pressure": {ManifoldPressure, func(x *Reading, v float64) { x.ManifoldPa = v }, 900, 1000, 980},
		"fan speed":         {FanSpeed, func(x *Reading, v float64) { x.FanSpeedRPM = v }, 5000, 5300, 5200},
		"flame signal":      {FlameSignal, func(x *Reading, v float64) { x.FlameSignalUA = v }, 8, 5, 6},
		"draft":             {Draft, func(x *Reading, v float64) { x.DraftPa = v }, -12, -4, -8},
	} {
		for v, want := range map[float64][]Kind{c.beyond: {Moved}, c.less: nil} {
			h := years(full(AsFound, 9.05, nan, 12, 63, 10))
			for i := range h.Readings {
				c.set(&h.Readings[i], c.usual)
			}
			last := len(h.Readings) - 1
			c.set(&h.Readings[last], v)
			j := Judge(h, rules(t))
			require.Equal(t, want, kinds(j), "%s %g", name, v)
			if want != nil {
				require.Equal(t, MovedFrom{Quantity: c.of, Now: v, Usual: c.usual}, j.Findings[0].Facts, name)
				require.True(t, j.Findings[0].Open)
			}
			require.Equal(t, Used, j.Uses[last])
		}
	}
}

// A source that shows tenths is told from one that shows hundredths whatever
// its decimals say, and few values tell nothing.
func TestResolutions(t *testing.T) {
	fill := func(source string, n int, step float64) *History {
		h := &History{Visits: []Visit{{Source: source}}}
		for k := range n {
			h.Readings = append(h.Readings, full(AsFound, 8+float64(k%90)*step, nan, nan, nan, nan))
		}
		return h
	}
	all := Resolutions([]*History{fill("a", 90, 0.1), fill("b", 90, 0.01), fill("c", 90, 0.5), fill("d", 20, 0.1), fill("e", 90, 0.0137)})
	require.Equal(t, []float64{0.1, 0.01, 0.5, 0}, []float64{all["a"].CO2Step, all["b"].CO2Step, all["c"].CO2Step, all["e"].CO2Step})
	require.True(t, all["d"].CO2Step != all["d"].CO2Step)
	require.True(t, all["a"].O2Step != all["a"].O2Step)

	fine := history(on(100, No, change(func(x *Reading) { x.CO2Decimals, x.O2Decimals = 2, 2 }).with(full(AsFound, 9.6, 4.9, nan, 62, 10))))
	r := rules(t)
	require.Empty(t, kinds(Judge(fine, r)), "12.54 is 6.3 % off, within two cells")
	fine.Readings[0].CO2Percent = 9.66
	require.Equal(t, []Kind{PairApart}, kinds(Judge(fine, r)))
	r.Resolutions = map[string]Resolution{"": {CO2Step: 0.1, O2Step: 0.1}}
	require.Empty(t, kinds(Judge(fine, r)), "shown in tenths, so 9.66 may be 9.61")
}
