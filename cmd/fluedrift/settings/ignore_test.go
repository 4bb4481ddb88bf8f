package settings

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Patterns of exports.ignore name an entry, or a folder it lies in.
func TestIgnoredNames(t *testing.T) {
	c := new(Config)
	c.Exports.Ignore = []string{"*.pdf", "archive", "old/*.csv"}
	require.NoError(t, checkIgnore(c))
	for name, ignored := range map[string]bool{
		"a.pdf": true, "x/a.pdf": true, "archive/x/y.csv": true, "archive.csv": false,
		"old/a.csv": true, "old/b/a.csv": false, "a.csv": false,
	} {
		require.Equal(t, ignored, c.IsIgnored(name), name)
	}
	c.Exports.Ignore = []string{"a["}
	require.ErrorContains(t, checkIgnore(c), `exports.ignore: "a[" is no pattern of a file name`)
}
