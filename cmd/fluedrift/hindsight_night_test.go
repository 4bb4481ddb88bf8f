package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"fluedrift/cmd/fluedrift/night"

	"github.com/stretchr/testify/require"
)

// halving is a look back whose map halves every probability.
const halving = `{"as_of":"2026-02-01",
"line":"Hindsight of 1 Feb 2026: On this fleet the forecast is not clearly better than last deviation.",
"ahead_of_simple_rules":false,"verdict":"not clearly ahead","best_simple_rule":"last deviation",
"recalibration":{"Offered":true,"Map":{"From":[0,1],"To":[0,1],"Share":[0,0.5],"Weight":[1,1]},"LearnedUntil":20000,"Before":0.2,
	"After":0.1,"Later":300}}`

// nightWith runs a night on the thirty units after a look back and gives what it
// said and published.
func nightWith(t *testing.T, lookBack, section string) (said, list string, run night.Record) {
	dir := fastDir(t)
	config := thirtyUnits(t, dir)
	if lookBack != "" {
		folder := filepath.Join(dir, "lists", "hindsight", "2026-02-01")
		require.NoError(t, os.MkdirAll(folder, 0o700))
		write(t, filepath.Join(folder, "hindsight.json"), lookBack)
	}
	if section != "" {
		text, err := os.ReadFile(config)
		require.NoError(t, err)
		write(t, config, string(text)+section)
	}
	var out, errs bytes.Buffer
	c := &call{streams: quietStreams(&out, &errs)}
	c.config, c.asOf, c.publish = config, "2026-03-02", true
	n, err := nightOf(c)
	require.NoError(t, err)
	l, err := n.Run(t.Context())
	require.NoError(t, err, errs.String())
	text, err := os.ReadFile(filepath.Join(dir, "lists", "latest", "watchlist.csv"))
	require.NoError(t, err)
	record, err := os.ReadFile(filepath.Join(dir, "lists", "latest", "run.json"))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(record, &run))
	return n.OneLine(l) + "\n" + strings.Join(l.Tables[0].Head, "\n"), string(text), run
}

// chancesIn are the probabilities of the planned day at high or single fire by
// serial, and the marks: the list's own column is of another day where the tier is
// another.
func chancesIn(t *testing.T, list string) (chance map[string]float64, marks map[string]string) {
	rows, err := csv.NewReader(strings.NewReader(list)).ReadAll()
	require.NoError(t, err)
	at := map[string]int{}
	for i, name := range rows[0] {
		at[name] = i
	}
	chance, marks = map[string]float64{}, map[string]string{}
	for _, row := range rows[1:] {
		marks[row[at["serial"]]] = row[at["marks"]]
		if v, err := strconv.ParseFloat(row[at["high_planned_out_probability"]], 64); err == nil {
			chance[row[at["serial"]]] = v
		}
	}
	return chance, marks
}

// A night takes the newest look back's map where it is offered: every probability
// follows it, every line it touched says so, and so do the head, the night's line
// and run.json. Without one, or where the configuration forbids it, they stay.
func TestNightCorrectsByHindsight(t *testing.T) {
	onlyLong(t) // TestNightBehindASimpleRule corrects as well
	t.Parallel()
	said, _, run := nightWith(t, "", "")
	require.Contains(t, said, "no hindsight")
	require.NotContains(t, said, "Hindsight of")
	require.Nil(t, run.Hindsight)

	said, list, run := nightWith(t, halving, "")
	before := halved(t, list)
	require.Contains(t, said, "by the hindsight of 2026-02-01 the forecast is not clearly better than last deviation")
	require.Contains(t, said, "On this fleet the forecast is not clearly better than last deviation.")
	require.Zero(t, run.Code)
	require.NotContains(t, said, "days old")
	require.Contains(t, said, "Probabilities on this list are corrected by it.")
	require.Equal(t, &night.BackNoted{AsOf: "2026-02-01", Line: run.Hindsight.Line, Corrected: true}, run.Hindsight)

	said, list, run = nightWith(t, halving, "\n[hindsight]\nrecalibrate = false\n")
	kept, _ := chancesIn(t, list)
	require.Equal(t, before, kept)
	require.Contains(t, said, "are not corrected by it, as hindsight.recalibrate asks")
	require.False(t, run.Hindsight.Corrected)
	require.NotContains(t, list, "corrected by the hindsight")
}

// halved holds the probabilities of a list to half of those of a night without a look
// back, which it returns, and each line that it touched to its mark.
func halved(t *testing.T, list string) (before map[string]float64) {
	t.Helper()
	before, _ = chancesIn(t, reference(t).files["watchlist.csv"])
	require.NotEmpty(t, before)
	after, marks := chancesIn(t, list)
	require.Len(t, after, len(before))
	for serial, was := range before {
		require.InDelta(t, was/2, after[serial], 0.0051, serial)
		if was > 0 {
			require.Contains(t, marks[serial], "probabilities corrected by the hindsight of 2026-02-01", serial)
		}
	}
	return before
}

// Where a simple rule was better beyond doubt the night ends with something to look at
// and names it, in its notes and at the head; its map corrects the list all the same.
func TestNightBehindASimpleRule(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	behind := strings.Replace(strings.Replace(halving, "not clearly ahead", "behind", 1), "not clearly better than last deviation", "behind",
		1)
	said, list, run := nightWith(t, behind, "")
	require.Equal(t, exitLook, run.Code)
	halved(t, list)
	require.Contains(t, said, "Probabilities on this list are corrected by it.")
	require.True(t, run.Hindsight.Corrected)
	require.Contains(t, strings.Join(run.Notes, "; "),
		"a simple rule puts this fleet's units in a better order than the forecast: last deviation")
	require.Contains(t, said, "a simple rule puts units in a better order: last deviation")
}
