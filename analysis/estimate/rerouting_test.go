package estimate_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/model/judge"
)

// plantedLevel is the shift a whole longest run makes at a fire under a control,
// points.
func (o *world) plantedLevel(w *demo.World, fire judge.Fire, control judge.Control) float64 {
	e := w.Effects[control]
	if fire == "low" {
		return e.Low.VentLevel
	}
	return e.High.VentLevel
}

// Where vents were re-routed the shift of the vent comes out as planted, and apart from
// it what any re-routing would do: nothing here. Fleets in which nearly every vent is
// altered once and every length is on record; intervals hold as often as a share of
// 95 % implies.
func TestShiftAtReRouting(t *testing.T) {
	n, units := 3, 300
	if _, _, long := effort(); long {
		n, units = longSeeds(t, 100), 600
	}
	w := plainWith(func(w *demo.World) { w.ReroutedShare = 1 })
	in, off := map[string][2]int{}, map[string][]rateOff{}
	eachSeed(n, func(seed uint64) *world {
		o := estimated(t, seed, units, w, without(estimate.EstimatedRatios), func(r *estimate.Config) { r.Brief, r.Workers = true, 1 })
		return o
	}, func(o *world) {
		s, err := o.out.Study(context.Background())
		require.NoError(t, err)
		for _, shift := range s.Shifts {
			if shift.Name != "re-routing" {
				continue
			}
			for _, c := range shift.Fit.Coefficients {
				want := math.NaN()
				switch c.Name {
				case "vent, ratio", "vent, fixed air", "vent, linkage":
					want = o.plantedLevel(&w, shift.Fire, judge.Control(c.Name[len("vent, "):]))
				case "re-routing, whatever the vent":
					want = 0
				}
				if math.IsNaN(want) || math.IsNaN(c.Value) {
					continue
				}
				name := string(shift.Fire) + ": " + c.Name
				k := in[name]
				if k[1]++; c.Low <= want && want <= c.High {
					k[0]++
				}
				in[name] = k
				off[name] = append(off[name], rateOff{off: c.Value - want, se: c.SE})
			}
		}
	})
	require.NotEmpty(t, in)
	for name, k := range in {
		mean, se := pooledOff(off[name])
		t.Logf("%s: %d of %d covered, mean error %+.4f +- %.4f", name, k[0], k[1], mean, se)
		requireBinomial(t, k[0], k[1], name)
		assert.Less(t, math.Abs(mean), 3.3*se, name)
	}
}
