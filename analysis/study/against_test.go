package study

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/datasets/measured"
	"fluedrift/datasets/worlds"
	"fluedrift/model/judge"
)

// ofUnit is the configuration of a unit as it stands.
func ofUnit(u *UnitVent) Configuration {
	c := Unknown()
	c.LengthM, c.DiameterM, c.Elbows90, c.Elbows45 = u.LengthM, u.DiameterM, u.Elbows90, u.Elbows45
	c.Line, c.InputKW, c.Fuel, c.Control = u.Line, u.InputKW, u.Fuel, u.Control
	return c
}

// What one vent does more than another is the one expectation less the other, within a
// burner control and across two; of one vent against itself nothing.
func TestDifferences(t *testing.T) {
	s := newStudied(t, knownFans(7, 300), nil)
	first := map[judge.Control]*UnitVent{}
	for i := range s.Units {
		if u := &s.Units[i]; first[u.Control] == nil && u.Rows > 0 && whole(u.OfRun, u.OfFan) {
			first[u.Control] = u
		}
	}
	short, longer, other := ofUnit(first[judge.ControlRatio]), ofUnit(first[judge.ControlRatio]), ofUnit(first[judge.ControlFixedAir])
	longer.LengthM += 3
	answer := func(c Configuration) *Answer {
		a, err := s.At(c)
		require.NoError(t, err)
		return &a
	}
	a, b, far := answer(short), answer(longer), answer(other)
	for _, pair := range [][2]*Answer{{a, b}, {a, far}} {
		all := Differences(s, pair[0], pair[1])
		require.Len(t, all, len(Kinds)*len(fires))
		compared := 0
		for _, d := range all {
			var of [2]Expected
			for k, x := range pair {
				for _, e := range x.Expected {
					if e.Kind == d.Kind && e.Fire == d.Fire && e.Measure == ByLength && e.Response == InPoints {
						of[k] = e
					}
				}
			}
			if of[0].Fit != d.Fit || of[1].Fit != d.Fit {
				continue
			}
			compared++
			require.InDelta(t, of[0].Mean.Value-of[1].Mean.Value, d.Mean.Value, 1e-9, "%s %s", d.Kind, d.Fire)
			require.Positive(t, d.Mean.SE)
			require.Less(t, d.Mean.Low, d.Mean.High)
		}
		require.Greater(t, compared, 4)
	}
	for _, d := range Differences(s, a, a) {
		require.Equal(t, Contrast{}, d.Mean)
	}
}

// The setting at the bench is the target less what start-ups are expected to show. What
// units differ by is what is left over without the noise of two readings.
func TestSettingsAtTheBench(t *testing.T) {
	e := &Expected{Fire: judge.High, Mean: contrastOf(0.22, 0.03, 1e6), residualSD: 0.1}
	b := benchOf(e, 9, nil)
	require.InDelta(t, 8.78, b.Set, 1e-12)
	require.InDelta(t, 8.78-1.96*0.03, b.Low, 1e-4) // the normal quantile
	require.True(t, math.IsNaN(b.OneLow))
	b = benchOf(e, 9, map[judge.Fire]float64{judge.High: 0.06}) // 0.1^2 - 2 0.06^2 = 0.0028
	// 1.644854 is the normal quantile of .95 (R 4.2.2: qnorm(.95))
	require.InDelta(t, 1.644854*math.Sqrt(0.0009+0.0028), b.OneHigh-b.Set, 1e-5)
	b = benchOf(e, 9, map[judge.Fire]float64{judge.High: 0.08}) // more than is left over
	require.InDelta(t, 1.644854*0.03, b.OneHigh-b.Set, 1e-5)
}

// Of units of invented fleets the true setting at the bench, from which the unit stands
// at its target at start-up, lies in the 90 % interval of one unit in .88 to .92 of
// cases; and what two units' vents differ by in the 95 % interval in .92 to .98.
func TestBenchOfFleets(t *testing.T) {
	r := newRecovered()
	n, every := seeds(1), 40 // units
	if n >= 400 {
		every = 10
	}
	for seed := range uint64(n) {
		w := studyWorld()
		f := studyFleet(120000+seed, w)
		s := newStudied(t, f, nil)
		s.Settings.ReadingSD = map[judge.Fire]float64{judge.High: readingSD(f), judge.Low: readingSD(f)}
		var last *Answer
		for i := range s.Units {
			u := &s.Units[i]
			if i%every != 0 || u.Rows == 0 || !whole(u.OfRun) || u.Control != judge.ControlRatio && u.Control != judge.ControlFixedAir {
				continue
			}
			a, err := s.At(ofUnit(u))
			if err != nil {
				continue
			}
			for _, b := range Benches(s, &a) {
				unit, _ := f.UnitBySerial(u.Serial)
				if shift, _ := f.StartupShift(unit, b.Fire, BenchAirC); whole(shift, b.OneLow) {
					one := Contrast{Value: b.Set, Low: b.OneLow, High: b.OneHigh}
					r.interval(fmt.Sprintf("bench, %s, %s, one unit at 90 %%", b.Fire, u.Control), one, b.Target-shift)
				}
			}
			if last != nil && last.Configuration.Control == u.Control {
				for _, d := range Differences(s, &a, last) {
					truth := plantedVent(&w, d.Kind, u.Control, d.Fire) * (a.OfRun - last.OfRun)
					if d.Fit == ControlFit && d.Fire != LowLessHigh && d.Kind != Installation {
						r.interval(fmt.Sprintf("one vent against another, %s, %s, %s", d.Kind, d.Fire, u.Control), d.Mean, truth)
					}
				}
			}
			last = &a
		}
		progress(t, int(seed)+1, r)
	}
	kept := measured.Of(t, "study")
	r.keep(kept, "")
	t.Logf("\n%s", r)
	require.NotEmpty(t, r.names)
	if n < 400 {
		return
	}
	for _, name := range r.names {
		if strings.HasPrefix(name, "bench") {
			require.InDelta(t, 0.9, r.share(name), 0.02, name)
		} else {
			requireCovered(t, r.share(name), name)
		}
	}
}

// readingSD is that of the invented fleet.
func readingSD(f *worlds.DemoFleet) float64 {
	w := f.Options.World
	return math.Sqrt(w.NoiseSD*w.NoiseSD + w.AnalyzerSD*w.AnalyzerSD + w.CalibrationSD*w.CalibrationSD)
}
