package words_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
)

// Before a first list its user reads how many units it would have, what nobody records,
// and in which source; what is rarely left out is not worth a sentence.
func TestWhatAListCouldJudge(t *testing.T) {
	s := watch.Summary{
		Units: 12, Listed: 10, Removed: 2, Missing: []watch.Lack{watch.LacksControls},
		Marks: []watch.MarkCount{{Mark: watch.MarkVentUnknown, Units: 10}, {Mark: watch.MarkNoTarget, Units: 3}},
	}
	require.Equal(t, []string{
		"10 units would be listed; 2 recorded as removed would not.",
		"No burner control is recorded: all burners are taken to answer to air temperature alike.",
		"All 10 units: the vent's length is not on record: its part in a deviation is not known.",
		"3 of 10 units: no target is declared for a fire: only CO is judged there.",
		"Source north, 50 visits: 43 of 100 fires read do not say what was left (43 %).",
	}, words.Judgeable(&s, []watch.Habit{
		{Source: "north", Visits: 50, Fires: 100, Readings: 150, NoLeft: 43, NoFound: 4, NoAnalyzer: 2},
		{Source: "south", Visits: 50, Fires: 100, Readings: 150},
	}))
}
