package queries

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// ready gives a warehouse built of one case, to be read (what a file gives back once
// it is opened holds TestOpenGivesBackWhatWasBuilt).
func ready(t *testing.T, name string) *Warehouse {
	w := inMemory(t)
	load(t, w, name)
	require.NoError(t, w.Build(t.Context(), dayOf(t, "2022-06-01")))
	return w
}

// TestFiles: the counts of every file add up (the identity the type states).
func TestFiles(t *testing.T) {
	w := ready(t, "corrections")
	files, err := w.Files(context.Background())
	require.NoError(t, err)
	require.Len(t, files, 6)
	for _, f := range files {
		assert.Equal(t, f.Lines, f.Header+f.Blank+f.Skipped+f.SetAside+f.Accepted+f.Superseded+f.Duplicate+f.Doubtful+f.Joined, f.Name)
	}
	f := files[3]
	assert.Equal(t, "d.csv", f.Name)
	assert.Equal(t, dayOf(t, "2023-03-01"), f.ExportDay)
	assert.Equal(t, []int64{1, 2, 2}, []int64{f.SetAside, f.Parsed, f.Readings})
	assert.Equal(t, day.None, files[5].ExportDay)
}

func TestSetAside(t *testing.T) {
	w := ready(t, "corrections")
	lines, err := w.SetAside(context.Background())
	require.NoError(t, err)
	assert.Contains(t, lines, SetAside{
		FileKey: 4, File: "d.csv", Line: 4, Outcome: "set aside", Column: "CO2", Value: "9..1",
		Reason: "unreadable-number", Serial: "E-5", Day: day.None,
	})
	w = ready(t, "repeats")
	lines, err = w.SetAside(context.Background())
	require.NoError(t, err)
	assert.Empty(t, lines, "the visits are of a day after the as-of day")
}

func TestSetAsideKinds(t *testing.T) {
	ctx := context.Background()
	kinds := func(w *Warehouse) map[string]int {
		lines, err := w.SetAside(ctx)
		require.NoError(t, err)
		n := map[string]int{}
		for _, l := range lines {
			n[l.Outcome+" "+l.Reason]++
		}
		return n
	}
	assert.Equal(t, map[string]int{"doubtful conflicting-duplicate": 6, "accepted not-in-register": 1}, kinds(ready(t, "register")))
	assert.Equal(t, map[string]int{"set aside before-install": 2}, kinds(ready(t, "before_install")))
	assert.Equal(t, map[string]int{"accepted not-in-register": 1}, kinds(ready(t, "answers")))
}

func TestReadingsInContext(t *testing.T) {
	ctx := context.Background()
	w := ready(t, "conditions")
	slices, err := w.Slices(ctx, "K-1")
	require.NoError(t, err)
	require.Equal(t, []Slice{{From: 1, Until: 2}}, slices)
	var all []Reading
	for r, err := range w.Readings(ctx, slices[0]) {
		require.NoError(t, err)
		all = append(all, *r)
	}
	require.Len(t, all, 8)
	r := all[6]
	assert.Equal(t, []any{judge.Low, judge.Between, judge.AsLeft, "A2"}, []any{r.Fire, r.Condition, r.Recorded, r.Analyzer})
	assert.Equal(t, 8.2, r.CO2Percent)
	assert.True(t, math.IsNaN(r.O2Percent))
	assert.Equal(t, []any{int16(540), day.None, int8(-1), -1, int32(0), int32(UnknownAge)},
		[]any{r.Minute, r.Calibrated, r.CO2Decimals, r.VentRun, r.TargetKey, r.AgeDays})
	var visits []Visit
	for v, err := range w.Visits(ctx, slices[0]) {
		require.NoError(t, err)
		visits = append(visits, *v)
	}
	require.Len(t, visits, 2)
	assert.Equal(t, []any{"V2", int16(-1), "yes", "yes"}, []any{visits[0].ID, visits[0].Minute, visits[0].AdjustedHigh, visits[0].AdjustedLow})

	seen := 0
	for _, err := range w.Readings(ctx, slices[0]) {
		require.NoError(t, err)
		if seen++; seen == 3 {
			break
		}
	}
	assert.Equal(t, 3, seen, "who has seen enough is given no more")
	calibrations, err := w.Calibrations(ctx)
	require.NoError(t, err)
	assert.Len(t, calibrations, 3)
}

func TestTargetsRunsAndFuels(t *testing.T) {
	ctx := context.Background()
	w := ready(t, "fuels_and_targets")
	all := Slice{From: 1, Until: 4}
	targets, err := w.Targets(ctx, all)
	require.NoError(t, err)
	byOrigin := map[string]int{}
	for _, x := range targets {
		byOrigin[x.Origin]++
	}
	assert.Contains(t, byOrigin, "configuration")
	fuels, err := w.Fuels(ctx, all)
	require.NoError(t, err)
	require.Len(t, fuels, 5)
	assert.Equal(t, judge.FuelPeriod{From: dayOf(t, "2020-09-01"), Until: day.None, UncertainFrom: day.None, Pinned: true, Fuel: "propane"},
		fuels[1].FuelPeriod)
	runs, err := w.VentRuns(ctx, all)
	require.NoError(t, err)
	require.Len(t, runs, 3)
	assert.False(t, runs[0].Known)
	assert.Equal(t, -1, runs[0].Elbows90)
	units, err := w.Units(ctx, "")
	require.NoError(t, err)
	assert.Equal(t, []string{"propane", "", "natural gas"}, []string{units[0].Fuel, units[1].Fuel, units[2].Fuel})
	answered := ready(t, "answers")
	answers, err := answered.Answers(ctx, all)
	require.NoError(t, err)
	assert.Equal(t, Answer{UnitKey: 1, Answer: judge.Answer{Day: dayOf(t, "2022-01-05"), Until: dayOf(t, "2022-05-01"), Answer: "planned"}},
		answers[0])
}

// TestChecksFindFaults breaks a warehouse in one way for each check and sees the
// check find it.
func TestChecksFindFaults(t *testing.T) {
	ctx := context.Background()
	broken := map[string]string{
		"missing_keys":           "update joined.settled set key_hash = null where line = 3",
		"line_counts":            "update source.files set blank = 7 where file_key = 3",
		"lines_set_aside":        "insert into source.set_aside (file_key, line) values (3, 2)",
		"cells_set_aside":        "update source.files set cells_set_aside = 1 where file_key = 3",
		"unique_keys":            "insert into joined.calibrations (analyzer, calibrated) values ('A1', date '2020-05-01')",
		"unique_lines":           "insert into joined.settled (file_key, line) values (1, 2)",
		"unique_readings":        "insert into joined.reading_values (file_key, line, part) values (1, 2, 0)",
		"hash_collisions":        "update joined.visit_rows set visit_hash = 1",
		"overlapping_days":       "update joined.calibrations set until_day = date '2021-01-01' where calibrated = date '2019-01-01'",
		"readings_without_place": "delete from joined.reading_values where line = 3",
		"readings_not_standing":  "update joined.settled set outcome = 'doubtful' where line = 3",
		"rows_lost":              "delete from record.analyzers",
		"not_a_number":           "update record.readings set draft_pa = if(line = 4, 'nan', '-infinity')::double where line in (4, 5)",
	}
	w := ready(t, "conditions")
	names := map[string]bool{}
	for _, s := range steps("check") {
		c, err := w.check(ctx, s)
		require.NoError(t, err)
		require.Zero(t, c.Wrong, "%s: %v", c.Name, c.First)
		require.Contains(t, broken, c.Name, "each check is seen to find a fault")
		names[c.Name] = true
		_, err = w.conn.ExecContext(ctx, "begin transaction")
		require.NoError(t, err)
		_, err = w.conn.ExecContext(ctx, broken[c.Name])
		require.NoError(t, err, c.Name)
		c, err = w.check(ctx, s)
		require.NoError(t, err)
		assert.Positive(t, c.Wrong, c.Name)
		assert.NotEmpty(t, c.First, c.Name)
		assert.LessOrEqual(t, len(c.First), firstOfWrong)
		_, err = w.conn.ExecContext(ctx, "rollback")
		require.NoError(t, err)
	}
	assert.Len(t, names, len(broken))
}
