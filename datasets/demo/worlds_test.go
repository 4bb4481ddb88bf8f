package demo_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// readingsIn lists the readings of a world's histories, factory tests apart.
func readingsIn(w demo.World, each func(h *judge.History, v *judge.Visit, x *judge.Reading)) *worlds.DemoFleet {
	f := worlds.Demo(demo.Options{Units: 120, World: w})
	histories := f.Histories()
	for i := range histories {
		h := &histories[i]
		for k := range h.Readings {
			if v := &h.Visits[h.Readings[k].Visit]; v.Reason != judge.FactoryTest {
				each(h, v, &h.Readings[k])
			}
		}
	}
	return f
}

// Drift that dies down ends at rate times its years, and moves as before at first.
func TestDriftDiesDown(t *testing.T) {
	f := worlds.Demo(demo.Options{Units: 1, World: demo.World{Effects: demo.Plain().Effects, Saturates: 4}})
	assert.InDelta(t, 4, f.Lasting(1000), 1e-9)
	assert.InDelta(t, 0.01, f.Lasting(0.01), 1e-4)
	assert.InDelta(t, 4*(1-math.Exp(-0.5)), f.Lasting(2), 1e-12)
	assert.Equal(t, 7.0, worlds.Demo(demo.Options{Units: 1, World: demo.Plain()}).Lasting(7))
}

// Each way of recording shows in the records and only where it should.
func TestWaysOfRecording(t *testing.T) {
	w := demo.Plain()
	w.DisplayStep = 0.5
	readingsIn(w, func(_ *judge.History, _ *judge.Visit, x *judge.Reading) {
		if !math.IsNaN(x.CO2Percent) {
			require.InDelta(t, 0, math.Remainder(x.CO2Percent, 0.5), 1e-9)
		}
	})
	w = demo.Plain()
	w.AirMissing = 0.5
	missing, all := 0, 0
	readingsIn(w, func(_ *judge.History, _ *judge.Visit, x *judge.Reading) {
		all++
		if math.IsNaN(x.AirTempC) {
			missing++
		}
	})
	assert.InDelta(t, 0.5, float64(missing)/float64(all), 0.05)
	w = demo.Plain()
	w.Autumn = true
	early, late := 0, 0
	readingsIn(w, func(_ *judge.History, v *judge.Visit, _ *judge.Reading) {
		if v.Reason == "annual" {
			if m := v.Day.Time().Month(); m >= 7 && m <= 12 {
				late++
			} else {
				early++
			}
		}
	})
	assert.Less(t, early, late/20)
}

// Who carries what shows in the visits.
func TestWhoCarriesWhat(t *testing.T) {
	w := demo.Plain()
	w.OneContractor = 0.7
	one, all := 0, 0
	readingsIn(w, func(_ *judge.History, v *judge.Visit, _ *judge.Reading) {
		all++
		if v.Technician == "N01" {
			one++
		}
	})
	assert.Greater(t, float64(one), 0.65*float64(all))
	count := func(w demo.World) map[string]map[string]bool {
		seen := map[string]map[string]bool{}
		from := day.Of(2023, 7, 1)
		readingsIn(w, func(_ *judge.History, v *judge.Visit, _ *judge.Reading) {
			if v.Day >= from && v.Day < from+demo.SwappedFor && v.Analyzer != "" {
				if seen[v.Technician] == nil {
					seen[v.Technician] = map[string]bool{}
				}
				seen[v.Technician][v.Analyzer] = true
			}
		})
		return seen
	}
	straight := count(demo.Plain())
	w = demo.Plain()
	w.Swapped = true
	crossed := count(w)
	moved := 0
	for who, ids := range crossed {
		for id := range ids {
			if !straight[who][id] {
				moved++
			}
		}
	}
	assert.Positive(t, moved)
	assert.Equal(t, straight["N03"], crossed["N03"]) // the third of an area keeps his own
}

// As founds far off are lost at the share asked for, those near stay; low fire is
// noisier and high fire as it was.
func TestWhatIsLostAndNoisy(t *testing.T) {
	far := func(share float64) (n int) {
		w := demo.Plain()
		w.FarMissing = share
		readingsIn(w, func(_ *judge.History, _ *judge.Visit, x *judge.Reading) {
			if x.Condition == judge.AsFound && math.Abs(x.CO2Percent-x.Target.CO2Percent) > 0.4 {
				n++
			}
		})
		return n
	}
	assert.Zero(t, far(1))
	assert.Less(t, far(0.5), far(0))
	w := demo.Plain()
	quiet := map[judge.Fire][]float64{}
	readingsIn(w, func(_ *judge.History, _ *judge.Visit, x *judge.Reading) {
		if !math.IsNaN(x.CO2Percent) {
			quiet[x.Fire] = append(quiet[x.Fire], x.CO2Percent)
		}
	})
	w.LowNoise = 3
	noisy := map[judge.Fire][]float64{}
	readingsIn(w, func(_ *judge.History, _ *judge.Visit, x *judge.Reading) {
		if !math.IsNaN(x.CO2Percent) {
			noisy[x.Fire] = append(noisy[x.Fire], x.CO2Percent)
		}
	})
	assert.Equal(t, quiet[judge.Single], noisy[judge.Single])
	assert.NotEqual(t, quiet[judge.Low], noisy[judge.Low])
}
