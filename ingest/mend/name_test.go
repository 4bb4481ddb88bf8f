package mend

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/layout"
	"fluedrift/ingest/parse"
)

// A file to mend is read by the layout of the export it was copied from.
func TestFits(t *testing.T) {
	for _, c := range []struct {
		pattern, name string
		fits          bool
	}{
		{"depot.csv", "depot.csv", true},
		{"depot.csv", "north/depot_to-fix.csv", true},
		{"depot.csv", "depot_to-fix-12.csv", true},
		{"depot.csv", "depot_to-fix.csv.gz", true},
		{"depot.csv.gz", "depot_to-fix.csv.gz", true},
		{"depot_to-fix.csv", "depot_to-fix.csv", true},
		{"depot_*.csv", "depot_2025_to-fix-2.csv", true},
		{"depot.csv", "depot_to-fixed.csv", false},
		{"depot.csv", "depot_to-fix.xlsx", false},
		{"depot.csv", "other_to-fix.csv", false},
	} {
		assert.Equal(t, c.fits, Fits(c.pattern, c.name), "%s %s", c.pattern, c.name)
	}
}

// registerLayout takes files of the name patterns, with the day in the name.
const registerLayout = `
name = "depot"
record = "units"
source = "depot"
[match]
names = %s
[export_day]
from = "name"
pattern = "yyyy-mm-dd"
[file]
type = "csv"
[[column]]
header = "Boiler"
field = "serial"
[[column]]
header = "Line"
field = "model_line"
`

// A file to mend has a name of its own, whatever names its layout takes, and one
// that the layout takes; hidden characters of the export's name are written out.
func TestFileToMendHasANameOfItsOwn(t *testing.T) {
	days, err := parse.NewDays("yyyy-mm-dd", 0)
	require.NoError(t, err)
	day, _, fault := days.Parse("2025-03-03")
	require.Nil(t, fault)
	for _, c := range []struct {
		names, export string
		want          string
		packed        bool
	}{
		{`["readings_*.csv"]`, "readings_2025-03-01.csv", "readings_2025-03-03_to-fix.csv", false},
		{`["readings_2025-03-01.csv"]`, "readings_2025-03-01.csv", "readings_2025-03-01_to-fix.csv", false},
		{`["depot_????-??-??.csv"]`, "north/depot_2025-03-01.csv", "depot_2025-03-03_to-fix.csv", false},
		{`["depot_????-??-??.csv"]`, "depot_2025-03-03.csv", "depot_2025-03-03_to-fix.csv", false},
		{`["depot.csv"]`, "depot.csv", "depot_to-fix.csv", false},
		{`["depot.csv.gz"]`, "depot.csv.gz", "depot_to-fix.csv.gz", true},
		{`["depot.csv"]`, "depot.csv.gz", "depot_to-fix.csv", false},
		{`["depot*.csv"]`, "depot_2025-03-03_to-fix.csv", "depot_2025-03-03_to-fix.csv", false}, // numbered, since an export has it
		{`["depot*"]`, "depot\u202e\x1b\xff.csv", "depot(U+202E)(U+001B)(FF)_to-fix.csv", false},
	} {
		dir := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(dir, "l.toml"), fmt.Appendf(nil, registerLayout, c.names), 0o600))
		all, err := layout.Load(dir)
		require.NoError(t, err)
		name, packed := nameOf(all[0], c.export, day)
		require.Equal(t, c.want, name)
		require.Equal(t, c.packed, packed, c.export)
		require.Contains(t, name, Mark)
		require.True(t, takes(all[0], name), "%s is not read by the layout of %s", name, c.export)
		m := maker{taken: map[string]bool{filepath.Base(c.export): true}}
		one := m.openText(name, []byte("head"))
		require.NotEqual(t, filepath.Base(c.export), one.Name, "the export's own name")
		require.True(t, takes(all[0], one.Name), one.Name)
	}
}
