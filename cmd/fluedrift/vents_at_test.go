package main

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/judge"
	"fluedrift/model/quantity"
)

// A configuration is read in any unit of measure; what is not known is an error that
// names what is.
func TestConfigurationIsRead(t *testing.T) {
	c, err := readConfiguration("-at", "vent-length=12m, elbows-90=3,diameter=200mm,fan-pressure=0.5in w.c.,input=100 "+
		"MBH,control=ratio,age-years=4,altitude=-3 ft")
	require.NoError(t, err)
	require.Equal(t, 12.0, c.LengthM)
	require.Equal(t, 3, c.Elbows90)
	require.Equal(t, 0.2, c.DiameterM)
	require.InDelta(t, 124.544, c.FanPa, 5e-4)     // NIST SP 811: 249.0889 Pa
	require.InDelta(t, 29.307107, c.InputKW, 1e-6) // NIST SP 811
	require.Equal(t, judge.ControlRatio, c.Control)
	require.Equal(t, 4.0, c.AgeYears)
	require.InDelta(t, -0.9144, c.AltitudeM, 1e-12)
	require.Equal(t, -1, c.Elbows45)
	for _, n := range quantity.Names() { // every unit of length, by its name
		if u := quantity.MustLookup(n); u.Kind == quantity.Length {
			c, err := readConfiguration("-at", "vent-length=2.5"+n)
			require.NoError(t, err)
			require.Equal(t, u.ToCanonical(2.5), c.LengthM, n)
		}
	}
	for text, says := range map[string]string{
		"vent-lenght=12m": "vent-length", "vent-length=12": "ft", "vent-length=12 Pa": "write it with one of m", "vent-length=": "key=value",
		"vent-length=1m,vent-length=2m": "twice",
		"elbows-90=2.5":                 "whole number", "elbows-90=-1": "whole number", "diameter=-3m": "negative",
		"vent-length=m": "start with a number",
		"diameter=NaNm": "number", "12m": "key=value", "": "key=value",
	} {
		_, err := readConfiguration("-at", text)
		require.ErrorContains(t, err, says, text)
		require.Equal(t, exitUsage, codeOf(err), text)
	}
}

// The answer for one configuration names the nearest units and marks what lies
// outside the data.
func TestVentsAt(t *testing.T) {
	t.Parallel()
	dir := afterNight(t, demoNight)
	config := filepath.Join(dir, "fluedrift.toml")
	out := runCommand(t, 0, "vents", "-config", config, "-at", "vent-length=15m,elbows-90=2,diameter=152mm")
	require.Contains(t, out, "Nearest units")
	require.Contains(t, out, "drift")
	require.NotContains(t, out, "EXTRAPOLATION")
	out = runCommand(t, 0, "vents", "-config", config, "-at", "vent-length=900 ft,elbows-90=3,diameter=8in")
	require.Contains(t, out, "EXTRAPOLATION: outside the data: vent length 900 ft")
	runCommand(t, exitUsage, "vents", "-config", config, "-at", "vent-length=12m,control=bellows")
	const line = "Corvayne 120" // of the demo
	out = runCommand(t, 0, "vents", "-config", config, "-at", "vent-length=15m,elbows-90=2,diameter=152mm,model-line="+line,
		"-against", "vent-length=6m,elbows-90=2,diameter=152mm,model-line="+line)
	require.Contains(t, out, "More than at vent-length=6m")
	require.NotContains(t, out, "NaN")
	runCommand(t, exitUsage, "vents", "-config", config, "-against", "vent-length=6m")
}
