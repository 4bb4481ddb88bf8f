package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A plan that was edited is never overwritten: the same plan again leaves it, a
// new one becomes an edition of its own, and both are said. What was promised is
// read from a table that stays what it is, such as a copy of the edited plan.
func TestEditedPlanStays(t *testing.T) {
	t.Parallel()
	dir := afterNight(t, smallNight)
	config, days := filepath.Join(dir, "fluedrift.toml"), filepath.Join(dir, "lists", "days")
	appendTo(t, config, oneCrew) // crews shape no list
	// A plan of before there were editions, edited.
	require.NoError(t, os.MkdirAll(filepath.Join(days, "2025-03-03"), 0o700))
	write(t, filepath.Join(days, "2025-03-03", "days.csv"), "mine")
	said := runCommand(t, 0, "days", "-config", config)
	require.Contains(t, said, "The plan before stays in "+filepath.Join(days, "2025-03-03.1"))
	read := func(edition string) string {
		text, err := os.ReadFile(filepath.Join(days, edition, "days.csv"))
		require.NoError(t, err)
		return string(text)
	}
	require.Equal(t, "mine", read("2025-03-03.1"))
	first := read("2025-03-03.2")
	require.Equal(t, first, read("2025-03-03"))
	require.Contains(t, first, "serial")

	edited := strings.Replace(first, ",van 1,", ",van 2,", 1)
	require.NotEqual(t, first, edited)
	write(t, filepath.Join(days, "2025-03-03", "days.csv"), edited)
	said = runCommand(t, 0, "days", "-config", config)
	require.Contains(t, said, "it was edited (days.csv) and stays as it is")
	require.Equal(t, edited, read("2025-03-03"))

	text, err := os.ReadFile(config)
	require.NoError(t, err)
	promises := filepath.Join(dir, "promises.csv")
	write(t, promises, "serial,site,day\n00417,Mill House,2025-03-12\n,,\n")
	write(t, config, strings.Replace(string(text), "[crews]\n", "[crews]\npromises_file = \"promises.csv\"\n", 1))
	said = runCommand(t, 0, "days", "-config", config)
	require.Contains(t, said, "The plan before was edited (days.csv) and stays in "+filepath.Join(days, "2025-03-03.2"))
	require.Equal(t, edited, read("2025-03-03.2"))
	require.Regexp(t, `2025-03-12,van 1,.*,00417,.*,promised,`, read("2025-03-03.3"))
	require.Equal(t, read("2025-03-03.3"), read("2025-03-03"))
	kept, err := os.ReadFile(promises)
	require.NoError(t, err)
	require.Equal(t, "serial,site,day\n00417,Mill House,2025-03-12\n,,\n", string(kept))

	// The table is an input: no output may take its place, nor may it lie among the plans.
	code, errs := ran(t, "days", "-config", config, "-format", "csv", "-o", promises)
	require.Equal(t, exitUsage, code, errs)
	for bad, says := range map[string]string{
		"serial,day\n1,2025-03-12\n1,2025-03-13\n": `promises.csv:3: "1" is promised for 2025-03-12 and for 2025-03-13`,
		"serial,day\n1,12.3.\n":                    "promises.csv:2: day",
		"unit,when\n":                              "names no serial or no day",
	} {
		write(t, promises, bad)
		code, errs = ran(t, "days", "-config", config)
		require.Equal(t, exitUsage, code, errs)
		require.Contains(t, errs, says)
	}
	write(t, config, strings.Replace(string(text), "[crews]\n", "[crews]\npromises_file = \"lists/days/2025-03-03/days.csv\"\n", 1))
	code, errs = ran(t, "days", "-config", config)
	require.Equal(t, exitUsage, code, errs)
	require.Contains(t, errs, "crews.promises_file: ")
}
