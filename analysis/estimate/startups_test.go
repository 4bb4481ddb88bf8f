package estimate_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// What is expected of a start-up is the fit's own sum: another vent moves it by the
// vent effect of its burner control, another day by that of the air, and nothing is
// expected of a vent nobody knows.
func TestStartupsFollowTheFit(t *testing.T) {
	w := modelsWorld()
	w.FactoryTests = true
	o := estimated(t, 121, 300, w, without(estimate.EstimatedRatios), brief)
	s, err := o.out.Startups(t.Context())
	require.NoError(t, err)
	study, err := o.out.Study(t.Context())
	require.NoError(t, err)
	require.Equal(t, study.Shifts[0].Units, s.Units()[judge.High])
	vent, _ := study.Shifts[0].Fit.Coefficient("vent, fixed air")
	air, _ := study.Shifts[0].Fit.Coefficient("air temperature, fixed air")
	i := slices.IndexFunc(o.histories, func(h *judge.History) bool {
		return h.Unit.Control == "fixed air" && len(h.VentRuns) == 1 && h.VentRuns[0].Known && h.VentRuns[0].AirFrom != "room" &&
			len(h.Targets) > 0 && h.Targets[0].Fire == judge.High
	})
	h := o.histories[i]
	run := h.VentRuns[0]
	const summer, winter = 20285, 20469 // 2025-07-16, 2026-01-16
	at := func(day day.Day) float64 {
		points, low, high, ok := s.Expect(h, judge.High, &run, day)
		require.True(t, ok)
		require.InDelta(t, points, (low+high)/2, 1e-12)
		require.Greater(t, high-low, 0.1)
		return points
	}
	short := at(summer)
	climate := o.out.Climate.Outdoor
	require.InDelta(t, air.Value*(climate.At(winter)-climate.At(summer)), at(winter)-short, 1e-9)
	run.LengthM += h.Targets[0].Target.LongestRunM / 4
	require.InDelta(t, vent.Value/4, at(summer)-short, 1e-9)
	run.Known = false
	_, _, _, ok := s.Expect(h, judge.High, &run, summer)
	require.False(t, ok)
	_, _, _, ok = s.Expect(h, judge.Single, &h.VentRuns[0], summer)
	require.False(t, ok, "a fire the unit has not")
}

// A first reading of a later year says nothing of the start-up: the burner may have
// been set at one that is not on record. Without start-ups there is no fit of them.
func TestLaterReadingsAreNoStartup(t *testing.T) {
	w := modelsWorld()
	w.FactoryTests = true
	o := invented(121, 300, w)
	later := 0
	for _, h := range o.histories {
		h.Readings = slices.DeleteFunc(h.Readings, func(x judge.Reading) bool { return h.Visits[x.Visit].Reason == "start-up" })
		factory := false
		for i := range h.Readings {
			x := &h.Readings[i]
			if h.Visits[x.Visit].Reason == judge.FactoryTest {
				factory = true
			} else if factory && x.Condition == judge.AsFound && !math.IsNaN(x.CO2Percent+x.O2Percent) {
				later++
				break
			} else {
				break
			}
		}
	}
	require.Greater(t, later, 40, "first readings in the field, as found, after a factory test")
	r := rulesFor(t, o.histories)
	r.LeaveOut(estimate.EstimatedRatios)
	out, err := estimate.Run(t.Context(), o.histories, r)
	require.NoError(t, err)
	s, err := out.Startups(t.Context())
	require.NoError(t, err)
	require.Empty(t, s.Units())
	_, _, _, ok := s.Expect(o.histories[0], judge.High, &o.histories[0].VentRuns[0], r.AsOf)
	require.False(t, ok)
}
