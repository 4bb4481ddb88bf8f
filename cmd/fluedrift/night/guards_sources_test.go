package night

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/day"
	"fluedrift/queries"
)

// A source is held to its own rhythm.
func TestSilentSourceByItsRhythm(t *testing.T) {
	c := new(settings.Config)
	c.Guards.MaxSourceGaps = 3
	every := func(source string, gap int32, n int, last day.Day) (days []queries.RecordDay) {
		for i := n - 1; i >= 0; i-- {
			days = append(days, queries.RecordDay{Source: source, Day: last - day.Day(int32(i)*gap)})
		}
		return days
	}
	const asOf = 20150
	for _, s := range []struct {
		name  string
		days  []queries.RecordDay
		usual int32 // 0: not silent
	}{
		{"weekly, three weeks ago", every("north", 7, 50, asOf-21), 0},
		{"weekly, over three weeks ago", every("north", 7, 50, asOf-22), 7},
		{"daily, two weeks ago", every("north", 1, 50, asOf-14), 0},
		{"daily, over two weeks ago", every("north", 1, 50, asOf-15), 1},
		{"quarterly, nine months ago", every("north", 91, 9, asOf-273), 0},
		{"quarterly, over nine months ago", every("north", 91, 9, asOf-274), 91},
		{"silent for ten years", every("north", 7, 50, asOf-3650), 7},
		{"three gaps", every("north", 7, 4, asOf-100), 7},
		{"two gaps", every("north", 7, 3, asOf-100), 0},
		{"one record", every("north", 7, 1, asOf-1000), 0},
		{"long gaps before the two years", append(every("north", 200, 20, asOf-1000), every("north", 7, 105, asOf-60)...), 7},
		{"one gap in twenty is long", append(every("north", 7, 19, asOf-200), every("north", 7, 2, asOf-60)...), 7},
		{"two gaps in twenty are long", append(every("north", 7, 18, asOf-300),
			append(every("north", 7, 1, asOf-160), every("north", 7, 2, asOf-60)...)...), 0},
	} {
		t.Run(s.name, func(t *testing.T) {
			days := append(append(every("east", 7, 50, asOf-1), s.days...), every("west", 7, 50, asOf-1)...)
			found := silentOn(c, days, asOf)
			if s.usual == 0 {
				require.Empty(t, found)
				return
			}
			last := s.days[len(s.days)-1].Day
			require.Equal(t, []silence{{"north", last, s.usual}}, found)
			c := *c
			c.Guards.EndedSources = []string{"north"}
			require.Empty(t, silentOn(&c, days, asOf))
			c.Guards.EndedSources, c.Guards.MaxSourceGaps = nil, 0
			require.Empty(t, silentOn(&c, days, asOf))
		})
	}
	require.Equal(t, `source "north" has no record since 2025-02-09, 22 days ago, and its records are seldom more than 7 days apart: ask `+
		`for its exports; guards.ended_sources names a source that writes no more`,
		silence{"north", asOf - 22, 7}.note(asOf))
}
