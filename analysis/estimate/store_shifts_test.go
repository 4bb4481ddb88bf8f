package estimate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/report/words"
	"fluedrift/queries"
)

// The stored shifts are those of the study where the night fits all units that had
// the event: every effect with its interval, the intercept of an installation
// named for what it holds.
func TestShiftsReadBack(t *testing.T) {
	o := demoFleet(t, 1, 300)
	w, err := queries.Create(t.Context(), t.TempDir()+"/w.duckdb", queries.Options{Threads: 1, Version: "test"})
	require.NoError(t, err)
	defer w.Close()
	require.NoError(t, w.Build(t.Context(), o.rules.AsOf))
	require.NoError(t, estimate.Save(t.Context(), w, o.histories, o.out, words.OfEstimate()))
	rows, err := w.Shifts(t.Context())
	require.NoError(t, err)
	study, err := o.out.Study(t.Context())
	require.NoError(t, err)
	stored := map[[3]string]queries.Shift{}
	for _, r := range rows {
		stored[[3]string{string(r.Fire), r.Event, r.Name}] = r
		require.NotEmpty(t, r.Ended)
		require.LessOrEqual(t, r.Units, r.Events)
		require.True(t, r.Dropped != "" || r.Low < r.Value && r.Value < r.High, r.Name)
	}
	require.Contains(t, stored, [3]string{"high", "installation", "bench, transport, gas and altitude, fixed air"})
	want := 0
	for _, s := range study.Shifts {
		for _, c := range s.Fit.Coefficients {
			want++
			r := stored[[3]string{string(s.Fire), s.Name, c.Name}]
			require.EqualValues(t, s.Units, r.Units)
			if !math.IsNaN(c.Value) {
				require.InDelta(t, c.Value, r.Value, 1e-12, c.Name)
				require.InDelta(t, c.SE, r.SE, 1e-12, c.Name)
			}
		}
	}
	require.Len(t, rows, want)
}
