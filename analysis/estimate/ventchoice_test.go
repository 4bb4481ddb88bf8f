package estimate_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/measured"
	"fluedrift/model/vent"
)

// Where every model line declares its fan and the effect of a vent goes with its
// loss, the model compares vents by the loss: its measure is the planted one but
// for the flue temperature, which it takes from the readings; the column, its unit
// and the notes say so; and over some fleets the planted effect of fixed air, the
// one large enough to be seen, lies within three standard errors.
func TestVentsByLossAreRecovered(t *testing.T) {
	sum, weight, planted := 0.0, 0.0, math.NaN()
	in, all := 0, 0
	seeds, units, _ := effort()
	for seed := uint64(1); seed <= seeds; seed++ {
		o := estimated(t, seed, units, plainWith(func(w *demo.World) { w.VentByFan, w.Fans = true, demo.FansOfAll }), quick, brief)
		v := &o.out.Vents
		require.Equal(t, vent.ShareOfFan, v.Choice.Measure)
		var offs []float64
		for _, one := range measuresOf(o) {
			offs = append(offs, math.Abs(one.found/one.planted-1))
		}
		slices.Sort(offs)
		require.Less(t, offs[len(offs)/2], 0.01) // 3 K of 335 K; a unit with one reading, or near its dew point, may be further off
		require.Less(t, offs[len(offs)-1], 0.15)
		require.True(t, o.hasNote("vents are compared by loss as a share of the fan's pressure: of "))
		for _, fit := range o.out.Fits {
			for _, c := range fit.Beta.Coefficients {
				require.False(t, strings.HasPrefix(c.Name, "vent, "), c.Name)
				if truth, group := o.planted(fit.Fire, c.Name); group == "vent rate" && !math.IsNaN(c.Value) {
					all++
					if c.Low <= truth && truth <= c.High {
						in++
					}
				}
			}
		}
		c, ok := o.out.Fits[0].Beta.Coefficient("vent loss, fixed air")
		require.True(t, ok)
		require.Equal(t, "points a year per fan's whole pressure, recorded lengths taken as exact", c.Unit)
		planted, _ = o.planted(o.out.Fits[0].Fire, c.Name)
		sum, weight = sum+c.Value/(c.SE*c.SE), weight+1/(c.SE*c.SE)
	}
	t.Logf("%d fleets of %d units: planted %.3f, found %.3f, standard error %.3f; 95 %% intervals of all controls hold %d of %d",
		seeds, units, planted, sum/weight, 1/math.Sqrt(weight), in, all)
	kept := measured.Of(t, "vent-effects")
	kept.Count("effects by loss, all controls", "95 % intervals hold", in, all, "")
	kept.Mean(fmt.Sprintf("effects by loss, fixed air, high fire, planted %.3f", planted), "found", sum/weight, 1/math.Sqrt(weight), 3,
		"within 3 errors")
	require.Positive(t, all)
	// some twelve intervals of 95 % each in the normal suite: 9 or fewer hold once in 500 times
	require.GreaterOrEqual(t, float64(in), 0.75*float64(all))
	require.InDelta(t, planted, sum/weight, 3/math.Sqrt(weight))
	require.Greater(t, sum/weight, 3/math.Sqrt(weight))
}

type measure struct{ planted, found float64 }

// measuresOf are the measures of the runs in force, planted and as the model has them.
func measuresOf(o *world) (out []measure) {
	for i, h := range o.histories {
		if o.units[i] < 0 || len(h.VentRuns) == 0 {
			continue
		}
		if z := o.out.Vents.Choice.Of(h, &h.VentRuns[len(h.VentRuns)-1]); !math.IsNaN(z) {
			out = append(out, measure{o.fleet.VentCovariate(o.units[i], asOf), z})
		}
	}
	return out
}

// Where loss is the measure, a unit with a length and no diameter is not known, and
// says so; by length it would be.
func TestVentLossUnknownIsMarked(t *testing.T) {
	o := invented(1, 60, plainWith(func(w *demo.World) { w.VentByFan, w.Fans = true, demo.FansOfAll }))
	runs := o.histories[7].VentRuns
	runs[len(runs)-1].DiameterM = math.NaN()
	r := rulesFor(t, o.histories)
	r.LeaveOut(estimate.EstimatedRatios)
	out, err := estimate.Run(t.Context(), o.histories, r)
	require.NoError(t, err)
	require.Equal(t, vent.ShareOfFan, out.Vents.Choice.Measure)
	for i, f := range out.Forecasts {
		for _, fire := range f.Fires {
			require.Equal(t, i == 7, fire.Marked(analysis.MarkVentLossUnknown), o.histories[i].Unit.Serial)
		}
	}
	require.NotEmpty(t, out.Forecasts[7].Fires)
}

// A fleet whose lines mostly do not declare a fan is compared by length, all of
// it, though some units have both; the demo's is such a fleet.
func TestVentsOfTheDemoAreComparedByLength(t *testing.T) {
	o := demoFleet(t, 1, 300)
	c := &o.out.Vents.Choice
	require.Equal(t, vent.ShareOfRun, c.Measure)
	require.Greater(t, c.OfFan, 20)
	require.Less(t, 2*c.OfFan, c.Units)
	require.Greater(t, c.OfRun, c.Units/2)
	for _, one := range measuresOf(o) {
		require.InDelta(t, one.planted, one.found, 1e-9)
	}
	_, ok := o.out.Fits[0].Beta.Coefficient("vent, ratio")
	require.True(t, ok)
}

// A declared error of lengths is taken out of a loss as well: where they are half
// wrong the measures reckoned with lie nearer to the planted ones, by root mean
// square, than those of the lengths as recorded, and both coefficients are listed.
func TestErrorOfLengthsByLoss(t *testing.T) {
	w := plainWith(func(w *demo.World) { w.VentByFan, w.Fans, w.VentErrorSD = true, demo.FansOfAll, 0.5 })
	o := estimated(t, 41, 300, w, quick, func(r *estimate.Config) { r.VentErrorSD = 0.5 })
	require.Equal(t, vent.ShareOfFan, o.out.Vents.Choice.Measure)
	off := func(z func(i int) float64) float64 {
		sum := 0.0
		for i := range o.histories {
			d := z(i) - o.fleet.VentCovariate(o.units[i], asOf)
			sum += d * d
		}
		return math.Sqrt(sum / float64(len(o.histories)))
	}
	with := off(o.out.VentNow)
	recorded := off(func(i int) float64 {
		h := o.histories[i]
		return o.out.Vents.Choice.Of(h, &h.VentRuns[len(h.VentRuns)-1])
	})
	t.Logf("%.4f with the remedy, %.4f as recorded", with, recorded)
	require.Less(t, with, recorded)
	units := map[string]string{}
	for _, e := range o.out.Fits[0].Effects {
		units[e.Name] = e.Unit
	}
	require.Contains(t, units["vent loss, fixed air"], "error of 50 %")
	require.Contains(t, units["vent loss, fixed air, as recorded"], "taken as exact")
}
