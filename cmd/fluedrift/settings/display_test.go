package settings

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/report/units"
)

// displayed reads a configuration with a section [display] beside layouts of two
// registers and of readings.
func displayed(t *testing.T, display string) (*Config, error) {
	t.Helper()
	dir := t.TempDir()
	write := func(name, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600))
	}
	require.NoError(t, os.Mkdir(filepath.Join(dir, "layouts"), 0o700))
	register := func(name string) string {
		return fmt.Sprintf(`name = %q
record = "units"
source = "office"
[match]
names = ["%s_*.csv"]
[file]
type = "csv"
[[column]]
header = "No"
field = "serial"
`, name, name)
	}
	column := func(header, field, unit string) string {
		return fmt.Sprintf("[[column]]\nheader = %q\nfield = %q\nunit = %q\n", header, field, unit)
	}
	write("layouts/metric.toml", register("metric")+column("Input", "input", "kW")+column("Pipe", "vent_diameter", "mm"))
	write("layouts/us.toml", register("us")+column("Input", "input", "MBH")+column("Pipe", "vent_diameter", "in")+column("Run", "vent_length",
		"ft"))
	write("fluedrift.toml", display)
	return Read(filepath.Join(dir, "fluedrift.toml"))
}

// bare leaves what a Set shows, without what is known of records.
func bare(s units.Set) units.Set {
	return units.Set{Input: s.Input, Length: s.Length, Temperature: s.Temperature, Pressure: s.Pressure, Distance: s.Distance}
}

func TestUnitsOfTheReader(t *testing.T) {
	read := []LayoutLines{{"us", 40}, {"metric", 30}, {"us", 2}}
	for _, c := range []struct {
		display string
		read    []LayoutLines
		want    units.Set
	}{
		{"", read, units.System(units.US)},
		{"", []LayoutLines{{"us", 2}, {"metric", 30}}, units.System(units.Metric)},
		{"[display]\nunits = \"metric\"\n", read, units.System(units.Metric)},
		{"[display]\nunits = \"us\"\n", nil, units.System(units.US)},
		{
			"[display]\nunits = \"metric\"\npressure = \"mbar\"\ndistance = \"mi\"\n", read,
			units.Set{Input: "kW", Length: "m", Temperature: "degC", Pressure: "mbar", Distance: "mi"},
		},
		{
			"[display]\ninput = \"kW\"\nlength = \"m\"\ntemperature = \"degC\"\n", read,
			units.Set{Input: "kW", Length: "m", Temperature: "degC", Pressure: "in w.c.", Distance: "mi"},
		},
	} {
		cfg, err := displayed(t, c.display)
		require.NoError(t, err)
		require.Equal(t, c.want, bare(Units(cfg, c.read)), c.display)
	}
}

// Where no layout can be read nothing is known, and SI it is.
func TestUnitsWithoutLayouts(t *testing.T) {
	path := filepath.Join(t.TempDir(), "fluedrift.toml")
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	cfg, err := Read(path)
	require.NoError(t, err)
	require.Equal(t, units.System(units.Metric), bare(Units(cfg, nil)))
	require.Equal(t, units.SI, RecordUnits(cfg)("any"))
}

// An export is described in its own units, whatever the reader's are.
func TestUnitsOfAnExport(t *testing.T) {
	cfg, err := displayed(t, "[display]\nunits = \"metric\"\n")
	require.NoError(t, err)
	require.Equal(t, "10 in", RecordUnits(cfg)("us").WidthOf(0.254))
	require.Equal(t, "254 mm", RecordUnits(cfg)("metric").WidthOf(0.254))
	require.Equal(t, "250 mm", Units(cfg, nil).WidthOf(0.254), "an inch is the shorter record")
}

// A wrong unit is answered with those that there are.
func TestDisplayIsChecked(t *testing.T) {
	for text, said := range map[string]string{
		`units = "imperial"`:     `display.units: "imperial" is none of us, metric`,
		`input = "Btu/h"`:        `display.input: "Btu/h" is none of kW, MBH`,
		`length = "in"`:          `display.length: "in" is none of m, ft`,
		`temperature = "F"`:      `display.temperature: "F" is none of degC, degF`,
		`pressure = "inch w.c."`: `display.pressure: "inch w.c." is none of Pa, mbar, in w.c.`,
		`distance = "miles"`:     `display.distance: "miles" is none of km, mi`,
	} {
		_, err := displayed(t, "[display]\n"+text+"\n")
		require.ErrorContains(t, err, said)
		require.Equal(t, Usage, ConditionOf(err))
	}
}

// Units of measure change no list that programs read: a warehouse and a publication
// stay those of the configuration.
func TestDisplayShapesNoList(t *testing.T) {
	us, err := displayed(t, "[display]\nunits = \"us\"\n")
	require.NoError(t, err)
	metric, err := displayed(t, "[display]\nunits = \"metric\"\n")
	require.NoError(t, err)
	require.Equal(t, us.ListsDigest(), metric.ListsDigest())
}
