package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Service calls are read where somebody says that they are some: as call-outs, with the
// parts that were changed, and never as boilers or routine visits.
func TestStartReadsServiceCallsWhenTold(t *testing.T) {
	exports, dir := office(t)
	var calls strings.Builder
	calls.WriteString("Ticket,Opened,Unit,Problem,Assigned to,Resolution,State\n")
	for _, row := range []string{
		"71,04/10/2024,K-1,No heat,Al,replaced igniter,Closed", "72,05/11/2024,K-2,PM,Bo,renewed the fan,Closed",
		"73,06/23/2024,K-2,Leak,Bo,reset,Open", "74,07/02/2024,K-9,Noise,Al,gas valve replaced,Closed",
	} {
		calls.WriteString(row + "\n")
	}
	require.NoError(t, os.WriteFile(filepath.Join(exports, "calls.csv"), []byte(calls.String()), 0o600))
	screen := atTerminal(t, exports, dir)
	require.Contains(t, screen, "calls.csv: neither a register nor readings, not read")
	var before []string
	if allNights() {
		before = plannedDays(t, dir)
		require.Len(t, before, 2)
	}

	path := filepath.Join(dir, decisionsName)
	answers := readText(t, path)
	require.Contains(t, answers, `"calls.csv: rows" = ""`)
	answers = strings.Replace(answers, `"calls.csv: rows" = ""`, `"calls.csv: rows" = "service calls: visits without readings"`, 1)
	require.NoError(t, os.WriteFile(path, []byte(answers), 0o600))
	screen = atTerminal(t, exports, dir)
	for _, said := range []string{
		"calls.csv: service calls: visits without readings", `"Ticket" is visit_id; "Opened" is day; "Unit" is serial`,
		`"Assigned to" is technician; "part_replaced" is parts`, "calls.csv: 4 of 4 lines accepted", `serial "K-9"`,
	} {
		require.Contains(t, screen, said)
	}
	layout := readText(t, dir, "layouts", "calls.toml")
	for _, written := range []string{`record = "visits"`, "[constants]\nreason = \"call-out\"", `do = "separate"`} {
		require.Contains(t, layout, written)
	}
	require.NotContains(t, layout, "neither a register")

	aWholeNight(t) // what the lists make of them
	require.Equal(t, before, plannedDays(t, dir), "the same boilers, planned for the same days after the same routine visits")
	require.Contains(t, readText(t, dir, "lists", "latest", "records-to-fix.csv"), "K-9")
}

// plannedDays makes a list, and gives of every unit of it the days that tickets must not
// change.
func plannedDays(t *testing.T, dir string) []string {
	t.Helper()
	var out, errs bytes.Buffer
	code := run(context.Background(), []string{"nightly", "-config", filepath.Join(dir, configName), "-as-of", "2025-01-15", "-publish"},
		quietStreams(&out, &errs))
	require.Contains(t, []int{exitDone, exitLook}, code, out.String()+errs.String())
	r := csv.NewReader(strings.NewReader(readText(t, dir, "lists", "latest", "watchlist.csv")))
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	var units []string
	for _, row := range rows[1:] {
		var said strings.Builder
		for _, name := range []string{"serial", "last_routine_visit", "planned_day"} {
			at := slices.Index(rows[0], name)
			require.GreaterOrEqual(t, at, 0, name)
			said.WriteString(" " + row[at])
		}
		units = append(units, said.String())
	}
	slices.Sort(units)
	return units
}
