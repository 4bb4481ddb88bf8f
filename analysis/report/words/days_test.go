package words

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/days"
	"fluedrift/analysis/report/units"
)

func TestHours(t *testing.T) {
	for want, minutes := range map[string]float64{
		"0 min": 0, "25 min": 25.4, "1 h": 59.6, "1 h 05 min": 65, "2 h": 120, "9 h 59 min": 599, "10 h": 605, "38 h": 2270,
	} {
		require.Equal(t, want, Hours(minutes))
	}
}

// A day in the car is marked.
func TestMostlyDriving(t *testing.T) {
	require.Empty(t, MostlyDriving(&days.CrewDay{DriveMinutes: 200, OnSiteMinutes: 200}))
	require.NotEmpty(t, MostlyDriving(&days.CrewDay{DriveMinutes: 201, OnSiteMinutes: 200}))
}

func TestSpeedInTheUnitsOfTheReader(t *testing.T) {
	p := &days.Plan{Rules: days.DefaultConfig(0)}
	require.Contains(t, DaysNotes(units.SI, p)[0], "times 1.3 at 50 km/h,")
	require.Contains(t, DaysNotes(units.System(units.US), p)[0], "times 1.3 at 31 mph,")
}

func TestPlannedWhy(t *testing.T) {
	for w, want := range map[days.Why]string{
		days.Due: "due", days.HasToBeSeen: "has to be seen", days.Promised: "promised", days.PulledForward: "test pulled forward",
	} {
		require.Equal(t, want, PlannedWhy(w))
	}
	require.Len(t, plannedWhy, int(days.PulledForward)+1)
}
