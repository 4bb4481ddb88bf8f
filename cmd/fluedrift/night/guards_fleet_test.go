package night

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// fleetGuards is a night at the guards of its fleet, at their usual limits, with one
// column's medians.
func fleetGuards(now watch.ColumnMedian) *Night {
	return guarded(func(n *Night) {
		g := &n.Config.Guards
		g.OutTolerated, g.ColumnTolerated, g.OneSideTolerated, g.RecordAgeTolerated, g.MaxColumnJump = 0.4, 1, 0.95, 365, 1
		now.Layout, now.Column, now.Rich, now.Lean, now.Set = "north", "CO2 %", 0.4, 0.4, 0.2
		n.medians = []watch.ColumnMedian{now}
	})
}

// A column beyond the action band in the middle is named; three units are needed.
func TestGuardOfAColumnFarOff(t *testing.T) {
	require.Empty(t, fleetGuards(watch.ColumnMedian{Units: 30, Points: -0.4}).farColumns())
	require.Empty(t, fleetGuards(watch.ColumnMedian{Units: 2, Points: -2}).farColumns())
	found := fleetGuards(watch.ColumnMedian{Units: 30, Points: -0.41}).farColumns()
	require.Len(t, found, 1)
	require.Equal(t, "column", found[0].guard)
	require.Contains(t, found[0].text,
		`Column "CO2 %" of layout "north": the median of the newest readings of 30 units is 0.41 points of CO2 below target, out of limits.`)
}

// A jump by more than the setting band and chance refuses; another column, or a
// publication that did not look, says nothing.
func TestGuardOfAColumnThatJumped(t *testing.T) {
	n := fleetGuards(watch.ColumnMedian{Units: 30, Points: 0.35, SE: 0.03})
	require.Empty(t, n.jumpedColumns())
	n.last.Medians = []watch.ColumnMedian{{Layout: "north", Column: "CO2 %", Units: 30, Points: 0.05, SE: 0.04}}
	require.Empty(t, n.jumpedColumns(), ".3 less twice .05 is the setting band")
	n.last.Medians[0].Points = 0.04
	found := n.jumpedColumns()
	require.Len(t, found, 1)
	require.Contains(t, found[0].text, "0.35 points of CO2 above target; it was 0.04 above it in the last publication, a jump of more "+
		"than guards.max_column_jump = 1 setting bands")
	n.last.Medians[0].Column = "CO2 low"
	require.Empty(t, n.jumpedColumns())
}

// Readings all on one side by a like amount are one cause; scattered ones are not.
func TestGuardOfOneSide(t *testing.T) {
	like := watch.ColumnMedian{Units: 30, Points: -0.3, Same: 1, Apart: 0.1}
	found := fleetGuards(like).oneSided()
	require.Len(t, found, 1)
	require.Contains(t, found[0].text, "100 % of the newest readings of 30 units are below target, by a median of 0.30 points of CO2.")
	for _, change := range []func(*watch.ColumnMedian){
		func(m *watch.ColumnMedian) { m.Units = 4 }, func(m *watch.ColumnMedian) { m.Same = 0.94 },
		func(m *watch.ColumnMedian) { m.Apart = 0.31 }, func(m *watch.ColumnMedian) { m.Points = -0.2 },
	} {
		m := like
		change(&m)
		require.Empty(t, fleetGuards(m).oneSided())
	}
}

// So many units out of limits point to a common cause, and to the column whose
// readings lie farthest off.
func TestGuardOfManyUnitsOut(t *testing.T) {
	lines := func(out, in int) (all []watch.Line) {
		for i := range out + in {
			c := analysis.Probability{Rich: 0.1}
			if i < out {
				c.Rich = 0.8
			}
			all = append(all, watch.Line{LastVisit: 20000, Forecast: &analysis.Forecast{Fires: []analysis.FireForecast{{
				Fire:        judge.High,
				RatePercent: math.NaN(), Today: c,
			}}}})
		}
		return all
	}
	n := fleetGuards(watch.ColumnMedian{Units: 30, Points: 0.3})
	require.Empty(t, n.manyOut(lines(4, 6), watch.Config{}, false))
	require.Empty(t, n.manyOut(lines(2, 1), watch.Config{}, false))
	found := n.manyOut(lines(5, 6), watch.Config{}, false)
	require.Len(t, found, 1)
	require.Contains(t, found[0].text, "5 of 11 units with a chance (45.5 %) are probably out of limits, more than "+
		"guards.out_tolerated = 0.4. A target, a layout, a conversion or the day of the list is more likely wrong than so many "+
		"burners. Look first at column \"CO2 %\" of layout \"north\"")

	require.Empty(t, n.oldRecords(lines(1, 9)), "150 days")
	n.asOf = 20366
	found = n.oldRecords(lines(1, 9))
	require.Len(t, found, 1)
	require.Contains(t, found[0].text, "366 days before 2025-10-05: more than guards.record_age_tolerated = 365")
	require.Empty(t, n.oldRecords(lines(1, 1)))
}
