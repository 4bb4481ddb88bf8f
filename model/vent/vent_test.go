package vent_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/model/combustion"
	"fluedrift/model/vent"
)

var nan = math.NaN()

// drawFiring draws a gas burner of 15 to 1500 kW.
func drawFiring(t *rapid.T) vent.Firing {
	gas := rapid.SampledFrom([]combustion.Gas{combustion.PipelineGas, combustion.Propane, combustion.Butane}).Draw(t, "gas")
	return vent.Firing{
		Gas: gas, Air: combustion.AirO2Field, InputKW: rapid.Float64Range(15, 1500).Draw(t, "kw"), CO2Percent: rapid.Float64Range(5, 11).Draw(t,
			"co2"),
		FlueTempC: rapid.Float64Range(30, 220).Draw(t, "flue"), AirTempC: rapid.Float64Range(-20, 40).Draw(t,
			"air"), PressurePa: rapid.Float64Range(7e4, 1.05e5).Draw(t, "pressure"),
	}
}

func drawRun(t *rapid.T) vent.Run {
	r := vent.Run{
		Elbow:    rapid.SampledFrom([]string{"", "smooth", "short", "mitred"}).Draw(t, "elbow"),
		Terminal: rapid.SampledFrom([]string{"", "plain", "cap", "screen"}).Draw(t, "terminal"),
	}
	for range rapid.IntRange(1, 3).Draw(t, "sections") {
		length := rapid.Float64Range(0.5, 30).Draw(t, "length")
		r.Sections = append(r.Sections, vent.Section{
			DiameterM: rapid.Float64Range(0.05, 0.5).Draw(t, "diameter"), LengthM: length,
			RiseM: length * rapid.Float64Range(-0.2, 1).Draw(t, "rise"), Elbows90: rapid.IntRange(0, 6).Draw(t, "e90"), Elbows45: rapid.IntRange(0,
				6).Draw(t, "e45"),
			RoughnessM: rapid.Float64Range(0, 2e-4).Draw(t, "wall"),
		})
	}
	return r
}

// changed returns a copy of the run with its first section changed.
func changed(r vent.Run, change func(*vent.Section)) vent.Run {
	r.Sections = append([]vent.Section(nil), r.Sections...)
	change(&r.Sections[0])
	return r
}

// Longer, narrower, more elbows and more gas take more pressure, at both ends
// of the range; low never exceeds high.
func TestLossIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, r := drawFiring(t), drawRun(t)
		s, air, err := f.Streams()
		require.NoError(t, err)
		l := r.VentLoss(s)
		require.Greater(t, l.TotalPa.Low, 0.0)
		require.LessOrEqual(t, l.TotalPa.Low, l.TotalPa.High)
		more := map[string]vent.Loss{
			"longer":   changed(r, func(x *vent.Section) { x.LengthM += 0.5 }).VentLoss(s),
			"narrower": changed(r, func(x *vent.Section) { x.DiameterM *= 0.9 }).VentLoss(s),
			"elbow 90": changed(r, func(x *vent.Section) { x.Elbows90++ }).VentLoss(s),
			"elbow 45": changed(r, func(x *vent.Section) { x.Elbows45++ }).VentLoss(s),
			"more gas": r.VentLoss(vent.Stream{MassKgS: s.MassKgS * 1.2, TempC: s.TempC, PressurePa: s.PressurePa, MolarMassG: s.MolarMassG}),
		}
		for what, m := range more {
			require.Greater(t, m.TotalPa.Low, l.TotalPa.Low, what)
			require.Greater(t, m.TotalPa.High, l.TotalPa.High, what)
		}
		require.Greater(t, s.MassKgS, air.MassKgS*0.9)
		require.Greater(t, r.AirLoss(air).TotalPa.Low, 0.0)
	})
}

// Cutting a section in two, or changing the order of sections but the last,
// changes nothing.
func TestLossAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawRun(t)
		s, _, err := drawFiring(t).Streams()
		require.NoError(t, err)
		cut := r
		first := r.Sections[0]
		first.LengthM, first.RiseM, first.Elbows90, first.Elbows45 = first.LengthM/2, first.RiseM/2, 0, 0
		rest := r.Sections[0]
		rest.LengthM, rest.RiseM = rest.LengthM/2, rest.RiseM/2
		cut.Sections = append([]vent.Section{first, rest}, r.Sections[1:]...)
		require.InEpsilon(t, r.VentLoss(s).TotalPa.High, cut.VentLoss(s).TotalPa.High, 1e-9)
		require.InDelta(t, r.RiseM(), cut.RiseM(), 1e-9)
		require.InDelta(t, r.LengthM(), cut.LengthM(), 1e-9)
		rule := vent.HandbookElbows()
		require.InEpsilon(t, r.EquivalentLengthM(rule, 0.15), cut.EquivalentLengthM(rule, 0.15), 1e-9)
	})
}

// A straight pipe of the equivalent length at the reference diameter takes the
// pressure of the run, when the friction factor is one throughout: here
// a hundred times the flow of a vent through a rough pipe, where it is.
func TestEquivalentLengthTakesTheSamePressure(t *testing.T) {
	const k, reference = 0.75, 0.2
	s := vent.Stream{MassKgS: 10, TempC: 60, PressurePa: 101325, MolarMassG: 28}
	run := vent.Run{Sections: []vent.Section{
		{DiameterM: 0.15, LengthM: 6, Elbows90: 2, RoughnessM: 0.015}, {DiameterM: 0.3, LengthM: 9, Elbows90: 1, Elbows45: 2, RoughnessM: 0.03},
	}}
	f := vent.Churchill(1e9, 0.1)
	rule := vent.ElbowsOf(k, f)
	dynamic := func(d float64) float64 { v := s.VelocityMS(d); return s.DensityKgM3() * v * v / 2 }
	want := (f*6/0.15+2*k)*dynamic(0.15) + (f*9/0.3+2*k)*dynamic(0.3) // two of 45 count as one of 90
	got := f * run.EquivalentLengthM(rule, reference) / reference * dynamic(reference)
	require.InEpsilon(t, want, got, 1e-9)
	require.InEpsilon(t, want, run.VentLoss(s).FrictionPa+2*k*(dynamic(0.15)+dynamic(0.3)), 0.01)
	require.InEpsilon(t, 10+2*1.5+0.7, vent.Run{Sections: []vent.Section{{DiameterM: 0.1, LengthM: 10, Elbows90: 2, Elbows45: 1}}}.
		EquivalentLengthM(vent.ElbowRule{Metres90: 1.5, Metres45: 0.7}, 0.1), 1e-12)
}

// Scaling diameter and length by 2 and flow by 2 leaves Re and f, and quarters
// the loss (identity: v halves).
func TestScaling(t *testing.T) {
	s := vent.Stream{MassKgS: 0.04, TempC: 60, PressurePa: 101325, MolarMassG: 28}
	run := func(d, l float64) vent.Run {
		return vent.Run{Terminal: "plain", Elbow: "smooth", Sections: []vent.Section{{DiameterM: d, LengthM: l, Elbows90: 2}}}
	}
	twice := s
	twice.MassKgS *= 2
	require.InEpsilon(t, run(0.15, 10).VentLoss(s).TotalPa.Low/4, run(0.30, 20).VentLoss(twice).TotalPa.Low, 1e-9)
	require.InEpsilon(t, s.Reynolds(0.15), twice.Reynolds(0.30), 1e-12)
}

// What is not known stays not known.
func TestUnknownSizes(t *testing.T) {
	s := vent.Stream{MassKgS: 0.04, TempC: 60, PressurePa: 101325, MolarMassG: 28}
	for name, x := range map[string]vent.Section{
		"diameter": {DiameterM: nan, LengthM: 5}, "length": {DiameterM: 0.1, LengthM: nan}, "elbows": {DiameterM: 0.1, LengthM: 5, Elbows90: -1},
	} {
		r := vent.Run{Sections: []vent.Section{x}}
		require.True(t, math.IsNaN(r.VentLoss(s).TotalPa.High), name)
		require.True(t, math.IsNaN(r.EquivalentLengthM(vent.HandbookElbows(), 0.1)), name)
	}
	require.True(t, math.IsNaN(vent.Run{}.VentLoss(s).TotalPa.Low))
	require.True(t, math.IsNaN(vent.Run{}.LengthM()))
	for _, v := range []float64{vent.PublishedK("no such"), vent.Churchill(-1, 0), vent.ColebrookWhite(3000, 0), vent.PressurePa(20000)} {
		require.True(t, math.IsNaN(v))
	}
	require.Equal(t, vent.Roughness("galvanized"), vent.Roughness("bamboo"))
	require.Less(t, vent.Roughness("plastic"), vent.Roughness("stainless"))
}

// Every kind of elbow and end lies in what a kind not recorded spans.
func TestUnrecordedSpansTheKinds(t *testing.T) {
	any90, any45 := vent.ElbowK("")
	for _, kind := range []string{"smooth", "short", "mitred"} {
		at90, at45 := vent.ElbowK(kind)
		require.True(t, any90.Low <= at90.Low && at90.Low <= at90.High && at90.High <= any90.High, kind)
		require.True(t, any45.Low <= at45.Low && at45.Low <= at45.High && at45.High <= any45.High, kind)
		require.Less(t, at45.High, at90.High, kind)
	}
	for _, end := range []string{"plain", "cap", "screen"} {
		k := vent.TerminalK(end)
		require.True(t, vent.TerminalK("").Low <= k.Low && k.High <= vent.TerminalK("").High, end)
	}
	// The formula of a smooth bend lies in the range of a smooth elbow.
	smooth, _ := vent.ElbowK("smooth")
	k := vent.BendK(vent.ColebrookWhite(3e4, 0), 90, 1.5)
	require.Greater(t, k, smooth.Low)
	require.Less(t, k, smooth.High)
	require.InDelta(t, 1.25, vent.Range{Low: 1, High: 1.5}.Middle(), 1e-12)
}

// Below the dew point water leaves the flue gas: it gets lighter in mass flow
// and heavier by the mol, up to that of dry gas (about 29.6 g/mol).
func TestCondensingStream(t *testing.T) {
	b := vent.Firing{
		Gas: combustion.Methane, Air: combustion.AirO2Physical, InputKW: 100, CO2Percent: 9, FlueTempC: 60, AirTempC: 20,
		PressurePa: 101325,
	}
	hot, air, err := b.Streams()
	require.NoError(t, err)
	b.FlueTempC = 30
	cold, _, err := b.Streams()
	require.NoError(t, err)
	require.Less(t, cold.MassKgS, hot.MassKgS)
	require.Greater(t, cold.MassKgS, air.MassKgS*0.93)
	require.Greater(t, cold.MolarMassG, hot.MolarMassG)
	require.Less(t, cold.MolarMassG, 30.0)
	b.CO2Percent = 12
	_, _, err = b.Streams()
	require.ErrorContains(t, err, "12")
	b.Gas = combustion.Gas{Name: "none"}
	_, _, err = b.Streams()
	require.Error(t, err)
}

// At low fire, a fifth of the input, the loss falls with about the square of
// the flow.
func TestLossFallsWithTheSquareOfTheFlow(t *testing.T) {
	high := vent.Firing{
		Gas: combustion.PipelineGas, Air: combustion.AirO2Field, InputKW: 300, CO2Percent: 9, FlueTempC: 70, AirTempC: 15,
		PressurePa: vent.PressurePa(200),
	}
	low := high
	low.InputKW, low.CO2Percent, low.FlueTempC = 60, 8.75, 50
	run := vent.Run{Sections: []vent.Section{{DiameterM: 0.2, LengthM: 12, RiseM: 8, Elbows90: 2, RoughnessM: vent.Roughness("stainless")}}}
	most, _, err := high.Streams()
	require.NoError(t, err)
	least, _, err := low.Streams()
	require.NoError(t, err)
	require.InEpsilon(t, run.VentLoss(most).TotalPa.High/25, run.VentLoss(least).TotalPa.High, 0.15)
}

// The terminal stands at the end of the last section: a wider last section
// makes its share smaller, by the fourth power of the diameter.
func TestTerminalAtTheEnd(t *testing.T) {
	s := vent.Stream{MassKgS: 0.04, TempC: 60, PressurePa: 101325, MolarMassG: 28}
	ends := func(d float64) float64 {
		r := vent.Run{Terminal: "plain", Sections: []vent.Section{{DiameterM: 0.15, LengthM: 5}, {DiameterM: d, LengthM: 1}}}
		return r.VentLoss(s).FittingsPa.Low
	}
	require.InEpsilon(t, 16, ends(0.15)/ends(0.30), 1e-9)
}

// The one measure of a fleet: half of the units decide, nothing is mixed.
func TestChoose(t *testing.T) {
	fan := vent.Candidate{LossPa: vent.Range{Low: 10, High: 30}, FanPa: 200, UsedM: 12, LongestRunM: nan}
	length := vent.Candidate{LossPa: vent.Range{Low: 10, High: 30}, FanPa: nan, UsedM: 12, LongestRunM: 30}
	both := vent.Candidate{LossPa: vent.Range{Low: 10, High: 30}, FanPa: 200, UsedM: 12, LongestRunM: 30}
	none := vent.Candidate{LossPa: vent.Range{Low: nan, High: nan}, FanPa: nan, UsedM: nan, LongestRunM: nan}
	for name, c := range map[string]struct {
		fleet   []vent.Candidate
		measure vent.Measure
		values  []float64
	}{
		"half have the fan":  {[]vent.Candidate{fan, length}, vent.ShareOfFan, []float64{0.1, nan}},
		"fewer than half":    {[]vent.Candidate{both, length, length}, vent.ShareOfRun, []float64{0.4, 0.4, 0.4}},
		"unknown stays so":   {[]vent.Candidate{both, length, none}, vent.ShareOfRun, []float64{0.4, 0.4, nan}},
		"nothing known":      {[]vent.Candidate{none, none}, vent.NoMeasure, []float64{nan, nan}},
		"no fleet":           {nil, vent.NoMeasure, []float64{}},
		"few fans, no runs":  {[]vent.Candidate{fan, none, none}, vent.NoMeasure, []float64{nan, nan, nan}},
		"fan of no pressure": {[]vent.Candidate{{LossPa: fan.LossPa, FanPa: 0, UsedM: -1, LongestRunM: 30}}, vent.NoMeasure, []float64{nan}},
	} {
		measure, values := vent.Choose(c.fleet)
		require.Equal(t, c.measure, measure, name)
		require.Len(t, values, len(c.values), name)
		for i, v := range c.values {
			require.True(t, math.IsNaN(v) && math.IsNaN(values[i]) || math.Abs(v-values[i]) < 1e-12, "%s: %v", name, values)
		}
	}
}

// The two measures of one fleet are there for a study to show side by side.
func TestBothMeasuresAreKept(t *testing.T) {
	c := vent.Candidate{LossPa: vent.Range{Low: 10, High: 30}, FanPa: 200, UsedM: 12, LongestRunM: 30}
	require.InDelta(t, 0.1, c.OfFan(), 1e-12)
	require.InDelta(t, 0.4, c.OfRun(), 1e-12)
}
