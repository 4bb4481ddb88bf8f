package units_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/report/units"
)

// Factors typed over from NIST SP 811 (2008), Appendix B.8: British thermal unit (IT)
// per hour 2.930711 E-01 W, foot 3.048 E-01 m, inch 2.54 E-02 m, inch of water,
// conventional 2.490889 E+02 Pa, millibar 1.0 E+02 Pa, mile 1.609344 E+00 km, degree
// Fahrenheit t/degC = (t/degF - 32)/1.8. Digits as printed there.
const (
	kWPerMBH  = 2.930711e-1
	mPerFt    = 3.048e-1
	mPerIn    = 2.54e-2
	paPerInWC = 2.490889e2
	paPerMbar = 1e2
	kmPerMile = 1.609344

	// of the exact unit, as registers in MBH are converted: a footnote of Appendix B gives
	// the Btu (IT) as 1055.05585262 J
	exactKWPerMBH = 1055.05585262 / 3600
)

func TestFactorsAreThoseOfNIST(t *testing.T) {
	us, metric := units.System(units.US), units.System(units.Metric)
	require.InEpsilon(t, 1/kWPerMBH, us.Value(units.Input, 1), 1e-6)
	require.InEpsilon(t, 1/mPerFt, us.Value(units.Length, 1), 1e-12)
	require.InEpsilon(t, 1/mPerIn, us.Value(units.Width, 1), 1e-12)
	require.InEpsilon(t, 1/paPerInWC, us.Value(units.Pressure, 1), 1e-7)
	require.InEpsilon(t, 1/kmPerMile, us.Value(units.Distance, 1), 1e-12)
	require.InDelta(t, 20*1.8+32, us.Value(units.Temperature, 20), 1e-9)
	require.InEpsilon(t, 1000, metric.Value(units.Width, 1), 1e-12)
	metric.Pressure = "mbar"
	require.InEpsilon(t, 1/paPerMbar, metric.Value(units.Pressure, 1), 1e-12)
}

func TestNumbersAreRoundedAsTheirRecords(t *testing.T) {
	us, metric := units.System(units.US), units.System(units.Metric)
	millibar := metric
	millibar.Pressure = "mbar"
	for _, c := range []struct {
		write             func(units.Set) string
		us, metric, third string // third: as metric, with mbar
	}{
		{func(s units.Set) string { return s.WidthOf(10 * mPerIn) }, "10 in", "250 mm", ""},
		{func(s units.Set) string { return s.WidthOf(6 * mPerIn) }, "6 in", "150 mm", ""},
		{func(s units.Set) string { return s.WidthOf(0.25) }, "9.8 in", "250 mm", ""},
		{func(s units.Set) string { return s.WidthOf(0.08) }, "3.1 in", "80 mm", ""},
		{func(s units.Set) string { return s.InputOf(2000 * exactKWPerMBH) }, "2000 MBH", "586 kW", ""},
		{func(s units.Set) string { return s.InputOf(84 * exactKWPerMBH) }, "84 MBH", "24.6 kW", ""},
		{func(s units.Set) string { return s.InputOf(250) }, "853 MBH", "250 kW", ""},
		{func(s units.Set) string { return s.InputOf(24.5) }, "84 MBH", "24.5 kW", ""},
		{func(s units.Set) string { return s.InputOf(1000) }, "3410 MBH", "1000 kW", ""},
		{func(s units.Set) string { return s.LengthOf(40 * mPerFt) }, "40 ft", "12.2 m", ""},
		{func(s units.Set) string { return s.LengthOf(13.5 * mPerFt) }, "13.5 ft", "4.1 m", ""},
		{func(s units.Set) string { return s.LengthOf(12) }, "39 ft", "12 m", ""},
		{func(s units.Set) string { return s.LengthOf(7.25) }, "23.8 ft", "7.25 m", ""},
		{func(s units.Set) string { return s.LengthOf(0) }, "0 ft", "0 m", ""},
		{func(s units.Set) string { return s.LengthOf(math.Pi) }, "10.3 ft", "3.1 m", ""}, // computed
		{func(s units.Set) string { return s.TemperatureOf((350. - 32) / 1.8) }, "350 degF", "177 degC", ""},
		{func(s units.Set) string { return s.TemperatureOf(61.4) }, "143 degF", "61.4 degC", ""},
		{func(s units.Set) string { return s.TemperatureOf(-5) }, "23 degF", "-5 degC", ""},
		{func(s units.Set) string { return s.DegreesOf(61.4) }, "143 F", "61 C", ""},
		{func(s units.Set) string { return s.WarmerOf(10) }, "18 degF", "10 K", ""},
		{func(s units.Set) string { return s.PressureOf(7 * paPerInWC) }, "7 in w.c.", "1740 Pa", "17.4 mbar"},
		{func(s units.Set) string { return s.PressureOf(3.5 * paPerInWC) }, "3.5 in w.c.", "870 Pa", "8.7 mbar"},
		{func(s units.Set) string { return s.PressureOf(-0.02 * paPerInWC) }, "-0.02 in w.c.", "-5 Pa", "-0.05 mbar"},
		{func(s units.Set) string { return s.PressureOf(2000) }, "8.03 in w.c.", "2000 Pa", "20 mbar"},
		{func(s units.Set) string { return s.SpeedOf(50) }, "31 mph", "50 km/h", ""},
	} {
		require.Equal(t, c.us, c.write(us))
		require.Equal(t, c.metric, c.write(metric))
		require.Equal(t, c.metric, c.write(units.SI))
		if c.third != "" {
			require.Equal(t, c.third, c.write(millibar))
		}
	}
}

// 254 mm in a register of millimetres are no 10 in.
func TestTheLayoutsSayWhatWasRecorded(t *testing.T) {
	column := func(field, unit string) []units.Column {
		return []units.Column{{Layout: "register", Field: field, Unit: unit, Register: true, Lines: 1}}
	}
	metric := units.System(units.Metric)
	require.Equal(t, "254 mm", metric.Recorded(column("vent_diameter", "mm")).WidthOf(0.254))
	require.Equal(t, "250 mm", metric.Recorded(column("vent_diameter", "in")).WidthOf(0.254))
	require.Equal(t, "254 mm", metric.Recorded(column("vent_diameter", "cm")).WidthOf(0.254))
	file := metric.Recorded(column("flue_temp", "degF")).AsRecorded()
	require.Equal(t, "23 degF", file.TemperatureOf(-5))
	require.Equal(t, "351 degF", file.TemperatureOf((351.-32)/1.8))
	require.Equal(t, "350 degF", file.TemperatureOf(500/math.E-7.2), "computed")
	require.Equal(t, "36 degF", file.WarmerOf(20))
	require.Equal(t, "12 m", file.LengthOf(12), "not recorded there")
	require.Equal(t, "2000000 Btu/h", units.SI.Recorded(column("input", "Btu/h")).AsRecorded().InputOf(2000*exactKWPerMBH))
}

func TestUnitsOfTheRegister(t *testing.T) {
	us := []units.Column{
		{"small", "input", "kW", true, 5},
		{"large", "input", "MBH", true, 80},
		{"large", "vent_length", "ft", true, 80},
		{"large", "vent_diameter", "in", true, 80},
		{"large", "altitude", "m", true, 80},
		{"readings", "flue_temp", "degC", false, 900},
	}
	require.Equal(t, units.System(units.US), units.OfRegister(us))
	require.Equal(t, units.System(units.Metric), units.OfRegister(us[:1]))
	require.Equal(t, units.System(units.Metric), units.OfRegister(us[5:]))
	require.Equal(t, units.System(units.Metric), units.OfRegister(nil))
	mixed := append([]units.Column{{"large", "input", "kW", true, 80}}, us[2:]...)
	want := units.System(units.US)
	want.Input = "kW"
	require.Equal(t, want, units.OfRegister(mixed))
}

func TestNumbersOfColumns(t *testing.T) {
	us, metric := units.System(units.US), units.System(units.Metric)
	for _, c := range []struct {
		s        units.Set
		q        units.Quantity
		v        float64
		decimals int
		number   float64
		shown    int
	}{
		{us, units.Input, 2000 * exactKWPerMBH, 1, 2000, 0},
		{metric, units.Input, 2000 * exactKWPerMBH, 1, 586, 0},
		{us, units.Input, 586.1, 1, 2000, 0}, // as a published list has it
		{us, units.Length, 10.37, 1, 34, 1},
		{metric, units.Length, 10.37, 1, 10.4, 1},
		{metric, units.Length, 123.456789, 1, 123.5, 1},
		{metric, units.Length, 12, 1, 12, 1},
		{us, units.Temperature, 61.4, 0, 143, 0},
		{metric, units.Temperature, 61.4, 0, 61, 0},
	} {
		number, shown := c.s.Number(c.q, c.v, c.decimals)
		require.InDelta(t, c.number, number, 1e-9)
		require.Equal(t, c.shown, shown)
	}
	number, _ := us.Number(units.Length, math.NaN(), 1)
	require.True(t, math.IsNaN(number))
}
