package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/datasets/demo"
)

// One office stops writing while the others go on: the night says so, its one
// line and the head of every list too.
func TestSilentOfficeIsSaid(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := fastDir(t)
	config := filepath.Join(dir, "fluedrift.toml") // fewer units do not tell when an office is late
	require.NoError(t, demo.New(demo.Options{Units: 30, Years: 4, Seed: 5, AsOf: testAsOf, World: demo.Default()}).Write(dir))
	all, err := filepath.Glob(filepath.Join(dir, "exports", "north_readings_202*.csv"))
	require.NoError(t, err)
	for _, name := range all {
		if !strings.Contains(name, "2024-01-06") && !strings.Contains(name, "2023-01-06") {
			require.NoError(t, os.Remove(name))
		}
	}
	code, errs := nightHere(config, testNow)
	require.Equal(t, exitLook, code, errs)
	require.Regexp(t, `source "north" has no record since 202\d-\d\d-\d\d, \d+ days ago`, errs)
	got := publishedFiles(t, dir)
	for _, list := range []string{"watchlist", "co", "changed", "verify"} {
		head, _, _ := strings.Cut(got[list+".json"], "cautions")
		require.Regexp(t, `"head":\["Not used: [^"]*","Silent: source \\"north\\" since 18 Nov 2023\.`, head, list)
	}
}

// A layout that is gone leaves its exports unread: they were accepted, so nothing
// is published.
func TestExportsWithoutTheirLayoutStopTheNight(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := afterNight(t, smallNight)
	config := filepath.Join(dir, "fluedrift.toml")
	require.NoError(t, os.Remove(filepath.Join(dir, "layouts", "lines.toml")))
	code, errs := nightHere(config, testNow)
	require.Equal(t, exitRefused, code, errs)
	require.Contains(t, errs,
		"1 file of the last publication cannot be read now: lines_2025-03-01.csv (no-layout: no layout matches this file name)")
}
