package estimate

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
	"fluedrift/model/combustion"
	"fluedrift/model/judge"
	"fluedrift/model/vent"
)

// ventFleet is an invented fleet with rules; without says that no model line
// declares what its fan has.
func ventFleet(t *testing.T, without bool) ([]*judge.History, Config) {
	fuels, err := combustion.Fuels(nil, combustion.AirO2Field)
	require.NoError(t, err)
	w := demo.Default()
	w.VentLengthMissing, w.Fans = 0.2, demo.FansOfAll
	if without {
		w.Fans = demo.FansOfNone
	}
	f := worlds.Demo(demo.Options{Units: 200, World: w})
	hs := f.Histories()
	all := make([]*judge.History, len(hs))
	for i := range hs {
		all[i] = &hs[i]
	}
	return all, DefaultConfig(f.AsOf(), judge.DefaultConfig(fuels))
}

// The measure is the loss over the fan's pressure where at least half of the
// units have both, else the length over the longest run; a unit without the
// chosen one is not known. It is the same for all units.
func TestChooseVents(t *testing.T) {
	for _, without := range []bool{false, true} {
		hs, r := ventFleet(t, without)
		c, err := ChooseVents(hs, &r, nil)
		require.NoError(t, err)
		want := vent.ShareOfFan
		if without {
			want = vent.ShareOfRun
		}
		require.Equal(t, want, c.Measure)
		known := 0
		for _, h := range hs {
			ofFan, ofRun := c.both(h, runNow(h))
			z := c.Of(h, runNow(h))
			if want == vent.ShareOfFan {
				require.True(t, z == ofFan || math.IsNaN(z) && math.IsNaN(ofFan))
			} else {
				require.True(t, z == ofRun || math.IsNaN(z) && math.IsNaN(ofRun))
			}
			if !math.IsNaN(z) {
				known++
				require.Greater(t, z, 0.0)
				require.Less(t, z, 5.0)
			}
		}
		require.Greater(t, known, 100)
	}
}

// A longer run takes more of the fan, a wider one less, and air from the room
// less than the same with a run of its own. A length in doubt is none.
func TestVentMeasureIsMonotone(t *testing.T) {
	hs, r := ventFleet(t, false)
	c, err := ChooseVents(hs, &r, nil)
	require.NoError(t, err)
	checked := 0
	for _, h := range hs {
		run := runNow(h)
		if run == nil || math.IsNaN(c.Of(h, run)) || run.AirFrom != "own run" {
			continue
		}
		longer, wider, room := *run, *run, *run
		longer.LengthM, wider.DiameterM, room.AirFrom = 2*run.LengthM, 1.3*run.DiameterM, "room"
		z := c.Of(h, run)
		require.Greater(t, c.Of(h, &longer), z)
		require.Less(t, c.Of(h, &wider), z)
		require.Less(t, c.Of(h, &room), z)
		checked++
	}
	require.Greater(t, checked, 20)
	none, err := ChooseVents(hs, &r, func(float64, float64) float64 { return math.NaN() })
	require.NoError(t, err)
	require.Equal(t, vent.NoMeasure, none.Measure)
}

// The loss of a known run: 100 kW of methane-like gas at 9 % CO2 through 10 m of
// 150 mm with terminal takes about 9 Pa (the check VN of the vent package is
// 8.73 Pa with a sum of K of 1.5 and a smooth wall).
func TestVentLossOfAKnownRun(t *testing.T) {
	_, r := ventFleet(t, false)
	h := &judge.History{
		Unit: judge.Unit{Fuel: "natural gas", InputKW: 100, AltitudeM: 0, Control: "ratio"},
		Targets: []judge.FireTarget{{Fire: judge.High, Target: judge.Target{
			CO2Percent: 9, O2Percent: math.NaN(), FanPa: 100, LongestRunM: 20,
			Origin: "a:1",
		}}},
		VentRuns: []judge.VentRun{{
			Known: true, DiameterM: 0.15, LengthM: 10, Elbows90: 1, Elbows45: 0, Terminal: "plain", Material: "plastic",
			AirFrom: "room",
		}},
	}
	c, err := ChooseVents([]*judge.History{h}, &r, nil)
	require.NoError(t, err)
	one := c.measurer.candidate(h, &h.VentRuns[0], asRecorded)
	require.Less(t, one.LossPa.Low, 8.73)
	require.Greater(t, one.LossPa.High, 8.73)
	require.InDelta(t, 11.5/20, one.OfRun(), 1e-12)
}
