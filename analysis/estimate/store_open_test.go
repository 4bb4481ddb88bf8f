package estimate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/report/words"
	"fluedrift/model/day"
	"fluedrift/queries"
)

// TestUnconfirmedReadBack holds the stored table against the fits it is from,
// and each row against the record: the day is of a reading of that unit.
func TestUnconfirmedReadBack(t *testing.T) {
	o := demoFleet(t, 1, 300)
	w, err := queries.Create(t.Context(), t.TempDir()+"/w.duckdb", queries.Options{Threads: 1, Version: "test"})
	require.NoError(t, err)
	defer w.Close()
	require.NoError(t, w.Build(t.Context(), o.rules.AsOf))
	require.NoError(t, estimate.Save(t.Context(), w, o.histories, o.out, words.OfEstimate()))
	rows, err := w.Unconfirmed(t.Context(), queries.Slice{From: 0, Until: math.MaxInt32})
	require.NoError(t, err)
	want := 0
	for _, f := range o.out.Fits {
		want += len(f.Fit.Unconfirmed)
	}
	require.Positive(t, want)
	require.Len(t, rows, want)
	days := map[int32]map[day.Day]bool{}
	for _, h := range o.histories {
		days[h.Unit.Key] = map[day.Day]bool{day.None: true}
		for _, x := range h.Readings {
			days[h.Unit.Key][x.Day] = true
		}
	}
	for _, r := range rows {
		require.True(t, days[r.UnitKey][r.Day] && days[r.UnitKey][r.BeforeDay] && days[r.UnitKey][r.AfterDay])
		require.LessOrEqual(t, r.BeforeDay, r.Day)
		require.Equal(t, r.Action == "change cut at", r.AfterDay == day.None)
		require.Greater(t, math.Abs(r.T), 3.0)
		require.GreaterOrEqual(t, r.WorstOut, r.TodayOut-1e-12)
	}
	_, err = w.LevelSteps(t.Context())
	require.NoError(t, err)
}
