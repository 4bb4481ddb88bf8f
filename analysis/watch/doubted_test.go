package watch_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
)

// A planted fault that carries its mark on the list has a row among the records
// to fix, with file, line, column, value and what to do.
func TestFindingsAreRecordsToFix(t *testing.T) {
	lines, _ := assessed(t, plantedFleet(1))
	reasons := map[string]int{}
	for _, l := range lines {
		fixes := watch.FixesOf(*l)
		words.FixMessages(func(string) units.Set { return units.SI }, fixes)
		for _, f := range fixes {
			if f.Found == nil {
				continue
			}
			reasons[f.Reason]++
			require.NotEmpty(t, f.File, f)
			require.NotEmpty(t, f.Column, f)
			require.NotEmpty(t, f.Value, f)
			require.Contains(t, f.Message, ": ")
			require.Equal(t, l.Unit.Serial, f.Serial)
		}
	}
	for _, reason := range []string{
		"o2-and-co2-exchanged", "one-gas-typed-as-the-other", "high-and-low-fire-exchanged",
		"before-warm-up", "temperature-in-doubt", "air-not-taken-at-the-intake", "copied-visit",
	} {
		require.Positive(t, reasons[reason], "%s: %v", reason, reasons)
	}
	t.Log(reasons)
}
