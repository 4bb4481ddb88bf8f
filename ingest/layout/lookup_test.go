package layout

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// loadWith loads the register of the examples with a lookup of its lines in a table.
func loadWith(t *testing.T, table, unknown string) (*Layout, error) {
	dir := t.TempDir()
	text := withSteps(t, "[[step]]\ndo = \"lookup\"\ncolumn = \"Line\"\ntable = \"lines.csv\"\nunknown = \""+unknown+"\"")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "x.toml"), []byte(text), 0o644))
	if table != "" {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "lines.csv"), []byte(table), 0o644))
	}
	all, err := Load(dir)
	if err != nil {
		return nil, err
	}
	return all[0], nil
}

func TestLookup(t *testing.T) {
	l, err := loadWith(t, "\ufeffas written,line\nT-40,T40\n t 40 ,T40\nT-40,T40\n", "keep")
	require.NoError(t, err)
	assert.Equal(t, []string{"line"}, l.Steps[0].Makes())
	assert.Equal(t, map[string][]string{"t-40": {"T40"}, "t 40": {"T40"}}, l.Steps[0].Found.Rows)
	assert.Equal(t, []string{"Line"}, l.Sources("LINE"))
}

// TestWrongLookups: a table that cannot be read is an error of its layout that names
// the line of the step, and file and line of the table.
func TestWrongLookups(t *testing.T) {
	for _, c := range []struct{ table, unknown, want string }{
		{"", "keep", "lines.csv: no such file"},
		{"a,b\nT40,1\nt40,2\n", "keep", `lines.csv:3: "t40" stands in line 2 too, with other values`},
		{"a\nT40\n", "keep", "lines.csv:1: the table needs a header of two columns or more"},
		{"a,b\nT40\n", "keep", "lines.csv: record on line 2: wrong number of fields"},
		{"a,b\nT\xff,1\n", "keep", "lines.csv: the table is not UTF-8"},
		{"a,b,c\nT40,1,2\n", "keep", `lines.csv:1: unknown = "keep" is for a table of two columns`},
		{"a,b\nT40,1\n", "guess", `unknown "guess" is not one of keep, missing, wrong`},
	} {
		_, err := loadWith(t, c.table, c.unknown)
		if assert.Error(t, err, c.want) {
			assert.Contains(t, err.Error(), "x.toml:9: step lookup: ")
			assert.Contains(t, err.Error(), c.want)
		}
	}
}
