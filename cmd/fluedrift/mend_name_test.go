package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"fluedrift/ingest/mend"
	"fluedrift/ingest/parse"
)

// Names in the lists folder and every JSON file show what hides or steers in the
// names and texts of exports.
func TestHiddenCharactersAreWrittenOut(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := smallFolder(t)
	config := filepath.Join(dir, "fluedrift.toml")
	name := filepath.Join(dir, "exports", "readings_2025-03-01.csv")
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	hostile := "readings_2025-03-02\u202egnp\x1b[31m\u007f.csv"
	bad := strings.Replace(string(text), "\n", "\nC9,00\u202e417\u2066\U000e0041,2025-02-05,yearly,high,after,9.l,20,no\n", 1)
	write(t, filepath.Join(dir, "exports", hostile), bad)
	code, said := ran(t, "nightly", "-config", config)
	require.Equal(t, exitLook, code, said)
	folder := filepath.Join(dir, "lists", "latest")
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	mends := 0
	for _, e := range entries {
		require.NotContains(t, e.Name(), "\u202e")
		require.False(t, strings.ContainsFunc(e.Name(), parse.Steers), "%q", e.Name())
		if e.Name() == "readings_2025-03-03(U+202E)gnp(U+001B)[31m(U+007F)"+mend.Mark+".csv" {
			mends++
		}
		if filepath.Ext(e.Name()) != ".json" {
			continue
		}
		text, err := os.ReadFile(filepath.Join(folder, e.Name()))
		require.NoError(t, err)
		require.True(t, utf8.Valid(text))
		require.False(t, strings.ContainsFunc(string(text), parse.Steers), e.Name())
		if e.Name() == "records-to-fix.json" {
			require.Contains(t, string(text), `\u202e`)
			require.Contains(t, string(text), `\udb40\udc41`, "beyond the first plane")
		}
	}
	require.Equal(t, 1, mends)
	for _, format := range []string{"json", "text"}[:suite(1, 2)] { // TestHostileText has the text
		require.False(t, strings.ContainsFunc(runCommand(t, 0, "inspect", "-config", config, "-format", format), parse.Steers), format)
	}
}
