package night

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/day"
)

// erode plays nights in each of which a register loses lines, and returns the
// night of the first refusal; 0 for none.
func erode(t *testing.T, n int, lose float64, tolerate map[int]bool) int {
	t.Helper()
	lines, asOf := int64(1000), day.Day(20150)
	var runs []*Record // the newest first
	for i := 1; i <= n; i++ {
		was := lines
		lines -= int64(lose * float64(lines))
		night := guarded(func(n *Night) { n.asOf, n.last = asOf+day.Day(i), nil })
		night.Config.Guards.ShrinkDays = 30
		if tolerate[i] {
			night.Config.Guards.Tolerate = []string{"shrunk"}
		}
		if i == 1 {
			runs = []*Record{{AsOf: settings.DayText(asOf), Inputs: []Input{{
				Name: "u0.csv", Layout: "register", Record: "units",
				Outcome: "read", ExportDay: settings.DayText(asOf), Accepted: was,
			}}}}
		}
		night.last = runs[0]
		for _, r := range runs {
			if d, err := settings.DayOf(r.AsOf); err == nil && night.asOf-d <= 30 {
				night.recent = append(night.recent, r)
			}
		}
		night.inputs = []Input{{
			Name: fmt.Sprintf("u%d.csv", i), Layout: "register", Record: "units", Outcome: "read",
			ExportDay: settings.DayText(night.asOf), Accepted: lines, Records: lines,
		}}
		if err := night.guards().shrunk(); err != nil {
			require.Equal(t, settings.Refused, settings.ConditionOf(err))
			return i
		}
		runs = append([]*Record{{AsOf: settings.DayText(night.asOf), Inputs: night.inputs}}, runs...)
	}
	return 0
}

// A register that loses a little every night is found out by what it lost in
// all; where that was tolerated once, later nights compare with what was left.
func TestALittleLostEveryNightAddsUp(t *testing.T) {
	require.Equal(t, 2, erode(t, 10, 0.095, nil))
	require.Equal(t, 12, erode(t, 40, 0.01, nil))
	require.Zero(t, erode(t, 40, 0.003, nil), "under a tenth in 30 days")
	require.Equal(t, 1, erode(t, 10, 0.2, nil))
	require.Zero(t, erode(t, 1, 0.2, map[int]bool{1: true}))
	require.Equal(t, 4, erode(t, 10, 0.095, map[int]bool{2: true}), "night 4 against night 2")
}

// A night repeated after a tolerated one keeps what was tolerated.
func TestToleratedShrinkIsKeptByARepeatedNight(t *testing.T) {
	is := Input{Name: "r.csv", Record: "readings", Outcome: "read", Accepted: 80}
	let := is
	let.ShrankOK = true
	n := guarded(func(n *Night) {
		n.inputs, n.last.AsOf, n.last.Inputs = []Input{is}, settings.DayText(n.asOf), []Input{let}
	})
	before := is
	before.Accepted = 100
	n.recent = []*Record{{AsOf: settings.DayText(n.asOf - 1), Inputs: []Input{before}}}
	require.NoError(t, n.guards().shrunk())
	require.True(t, n.inputs[0].ShrankOK, "the next night would be held against what this day let go")
	n.last.Inputs[0].ShrankOK = false
	require.ErrorContains(t, n.guards().shrunk(), "r.csv has 80 lines that can be used, it had 100 in the publication "+
		"of "+settings.DayText(n.asOf-1))
}
