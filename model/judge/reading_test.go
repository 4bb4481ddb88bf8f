package judge_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	. "fluedrift/model/judge"
)

// CO2 as recorded, else by CO2/CO2max + O2/air = 1.
func TestCO2OfAReading(t *testing.T) {
	r := rules(t)
	x := full(AsFound, 9.1, 3.0, nan, nan, nan)
	require.InDelta(t, 9.1, r.CO2(&x), 0)
	x.CO2Percent = nan
	require.InDelta(t, 11.8*(1-3.0/20.9), r.CO2(&x), 1e-12)
	x.Fuel = "something else"
	require.True(t, math.IsNaN(r.CO2(&x)))
}

// A deviation is the same whichever gas carries it, and a target in O2 is
// compared in O2 where O2 was recorded.
func TestDeviation(t *testing.T) {
	r := rules(t)
	x := value(AsFound, 9.3)
	require.InDelta(t, 0.3, r.Deviation(&x), 1e-12)
	x.O2Percent, x.CO2Percent = r.Fuels["natural gas"].O2FromCO2(9.3), nan
	require.InDelta(t, 0.3, r.Deviation(&x), 1e-12)
	x.Target = setToO2(5.0)
	require.InDelta(t, (5.0-x.O2Percent)*11.8/20.9, r.Deviation(&x), 1e-12)
	x.CO2Percent = 9.9 // computed by an analyzer with a CO2max of its own
	require.InDelta(t, (5.0-x.O2Percent)*11.8/20.9, r.Deviation(&x), 1e-12)
	x.O2Percent = nan
	require.InDelta(t, 9.9-11.8*(1-5.0/20.9), r.Deviation(&x), 1e-12)
	x.Target = Target{CO2Percent: nan, O2Percent: nan}
	require.True(t, math.IsNaN(r.Deviation(&x)))
}

// Rich and lean about a band in either gas; the edge is within. More O2 is
// leaner.
func TestSide(t *testing.T) {
	r := rules(t)
	for co2, want := range map[float64]Side{9.2: Within, 9.21: Rich, 8.8: Within, 8.79: Lean, 9.0: Within, nan: Unknown} {
		x := value(AsFound, co2)
		require.Equal(t, want, r.Setting(&x.Target, x.Fuel).Side(r.Deviation(&x)), co2)
	}
	for o2, want := range map[float64]Side{4.7: Within, 4.69: Rich, 5.3: Within, 5.31: Lean, nan: Unknown} {
		x := full(AsFound, nan, o2, nan, nan, nan)
		x.Target = setToO2(5.0)
		require.Equal(t, want, r.Setting(&x.Target, x.Fuel).Side(r.Deviation(&x)), o2)
	}
	uneven := setTo(9)
	uneven.SetLean = 0.5
	band := r.Setting(&uneven, "natural gas")
	require.InDelta(t, -0.5, band.Lean, 1e-12)
	require.InDelta(t, 0.2, band.Rich, 1e-12)
	oneSided := Band{Lean: nan, Rich: 0.2}
	require.Equal(t, Unknown, oneSided.Side(-0.1))
	require.Equal(t, Within, oneSided.Side(0.1))
	require.Equal(t, Rich, oneSided.Side(0.3))
	require.Equal(t, "rich", Rich.String())
}

// Without an action band twice the setting band stands in, and says so; each
// side for itself.
func TestActionBand(t *testing.T) {
	r := rules(t)
	both := setTo(9)
	band, made := r.Action(&both, "natural gas")
	require.False(t, made)
	require.InDelta(t, 0.4, band.Rich, 1e-12)
	half := both
	half.ActLean = nan
	band, made = r.Action(&half, "natural gas")
	require.True(t, made)
	require.InDelta(t, -0.4, band.Lean, 1e-12)
	o2 := setToO2(5)
	band, made = r.Action(&o2, "natural gas")
	require.True(t, made)
	require.InDelta(t, 0.6*11.8/20.9, band.Rich, 1e-12)
	none := Target{CO2Percent: nan, O2Percent: nan, SetRich: 0.2, SetLean: 0.2}
	band, _ = r.Action(&none, "natural gas")
	require.True(t, math.IsNaN(band.Rich) && math.IsNaN(band.Lean))
}

// CO free of excess air, by basis and limit. 100 ppm at O2 5.0 % is 131.4 ppm
// air-free and 112.6 at 3 % (datasets/reference, co-air-free-o2-1 and co-at-3).
func TestCOAirFree(t *testing.T) {
	r := rules(t)
	for name, c := range map[string]struct {
		co, co2, o2      float64
		basis, limit     string
		reference        float64
		want             float64
		wantLimit        string
		assumed, unknown bool
	}{
		"as measured, by O2":     {co: 100, co2: nan, o2: 5, basis: AsMeasured, want: 131.4},
		"as measured, by CO2":    {co: 100, co2: 5.9, o2: nan, basis: AsMeasured, want: 200},
		"air-free":               {co: 100, co2: 9, o2: 5, basis: AirFree, want: 100},
		"at 3 % O2":              {co: 112.58, co2: nan, o2: nan, basis: AtReference, reference: 3, want: 131.45},
		"basis not known":        {co: 100, co2: nan, o2: 5, basis: "unknown", want: 131.4, assumed: true},
		"below a limit":          {co: 100, co2: nan, o2: 5, basis: AsMeasured, limit: Below, want: 131.4, wantLimit: Below},
		"above a limit":          {co: 100, co2: nan, o2: 5, basis: AsMeasured, limit: Above, want: 131.4, wantLimit: Above},
		"no gas: at least":       {co: 100, co2: nan, o2: nan, basis: AsMeasured, want: 100, wantLimit: Above},
		"no gas, below a limit":  {co: 100, co2: nan, o2: nan, basis: AsMeasured, limit: Below, unknown: true},
		"reference not recorded": {co: 100, co2: nan, o2: nan, basis: AtReference, reference: nan, want: 100, wantLimit: Above},
		"no CO":                  {co: nan, co2: 9, o2: 5, basis: AsMeasured, unknown: true},
	} {
		x := full(AsFound, c.co2, c.o2, c.co, nan, nan)
		x.COBasis, x.COLimit, x.COReferenceO2Percent = c.basis, c.limit, c.reference
		got := r.COAirFree(&x)
		if c.unknown {
			require.True(t, math.IsNaN(got.AirFreePPM), name)
			continue
		}
		require.InDelta(t, c.want, got.AirFreePPM, 0.05, name)
		require.Equal(t, c.wantLimit, got.Limit, name)
		require.Equal(t, c.assumed, got.Assumed, name)
	}
}

func TestAdjusted(t *testing.T) {
	v := Visit{AdjustedHigh: No, AdjustedLow: Yes}
	require.Equal(t, []string{No, Yes, Yes}, []string{v.Adjusted(High), v.Adjusted(Low), v.Adjusted(Single)})
	v.AdjustedLow = ""
	require.Equal(t, []string{No, "", No}, []string{v.Adjusted(High), v.Adjusted(Low), v.Adjusted(Point)})
	require.Empty(t, (&Visit{}).Adjusted(Single))
}

// By O2 alone CO is made air-free whatever the fuel: 100 ppm at 5.0 % O2 are 131.4
// (the form of 40 CFR 62.14650(f), exact arithmetic), 112.6 at a reference of 3 %
// likewise. By CO2 alone an unknown fuel counts as the one with the highest
// CO2max of all that are configured.
func TestCOAirFreeWithoutAFuel(t *testing.T) {
	r := rules(t)
	for _, fuel := range []string{"natural gas", "propane", "peat", ""} {
		x := full(AsFound, nan, 5.0, 100, nan, nan)
		x.Fuel = fuel
		require.InDelta(t, 131.4, r.COAirFree(&x).AirFreePPM, 0.05, fuel)
		require.False(t, r.COAirFree(&x).AnyFuel)
		x.COPPM, x.COBasis, x.COReferenceO2Percent, x.O2Percent = 112.6, AtReference, 3, nan
		require.InDelta(t, 131.4, r.COAirFree(&x).AirFreePPM, 0.1, fuel)
	}
	x := full(AsFound, 9.0, nan, 100, nan, nan)
	require.InDelta(t, 100*11.8/9, r.COAirFree(&x).AirFreePPM, 1e-9)
	require.False(t, r.COAirFree(&x).AnyFuel)
	x.Fuel = ""
	require.InDelta(t, 100*14.0/9, r.COAirFree(&x).AirFreePPM, 1e-9)
	require.True(t, r.COAirFree(&x).AnyFuel)
	r.Fuels = nil // no unit of the fleet burns what is configured
	require.InDelta(t, 100*14.0/9, r.COAirFree(&x).AirFreePPM, 1e-9)
	x.CO2Percent = 14.5
	require.Equal(t, CO{AirFreePPM: 100, Limit: Above}, r.COAirFree(&x))
	require.InDelta(t, 131.4, (&Config{AssumedCOBasis: AsMeasured}).COAirFree(&Reading{COPPM: 100, O2Percent: 5, CO2Percent: nan}).AirFreePPM,
		0.05, "nothing configured")
}
