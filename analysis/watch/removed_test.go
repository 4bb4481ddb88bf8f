package watch

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// A unit that was taken out and installed again starts anew: its test from before
// counts for nothing, whether the register has a new install day or only a day
// from which it is in service again.
func TestInstalledAgainStartsAnew(t *testing.T) {
	removed, again := dayOf(2025, time.November, 10), dayOf(2025, time.December, 1)
	for name, change := range map[string]func(*judge.Unit){
		"new install day": func(u *judge.Unit) { u.Installed = again },
		"in service from": func(u *judge.Unit) { u.StateFrom = again },
	} {
		h := unit()
		require.Equal(t, ToPlan, Assess(h, testRules(), nil).Ground)
		change(&h.Unit)
		h.Unit.RemovedDay = removed
		l := Assess(h, testRules(), nil)
		require.Equal(t, NoReading, l.Ground, name)
		require.Equal(t, day.None, l.LastRoutine, name)
		require.Equal(t, day.None, l.LastVisit, name)
		require.Equal(t, again.AddMonths(12), l.PlannedDay, name)

		visit(h, dayOf(2025, time.December, 2), "start-up", high(judge.AsLeft, 9.0), low(judge.AsLeft, 8.6))
		l = Assess(h, testRules(), nil)
		require.Equal(t, ToPlan, l.Ground, name)
		require.Equal(t, dayOf(2025, time.December, 2), l.LastRoutine, name)
	}
}
