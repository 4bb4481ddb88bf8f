package estimate_test

import (
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/measured"
	"fluedrift/model/judge"
)

// The shift at installation: what was planted for the vent comes out by burner control,
// nothing of the bench's own vent in it. Intervals of 95 % hold it in 0.90 to 1 of all
// (with FLUEDRIFT_LONG=1 over twenty fleets of 1,500 units; in few, three binomial
// errors wider), and the mean error is within three of its standard errors.
func TestInstallationOverFleets(t *testing.T) {
	fleets, units, long := 3, 400, os.Getenv("FLUEDRIFT_LONG") != ""
	if long {
		fleets, units = 20, 1500
	}
	w := modelsWorld()
	w.FactoryTests = true
	held, n := 0, 0
	off, fits := map[string][]float64{}, map[string][]rateOff{}
	for seed := range fleets {
		o := estimated(t, uint64(300+seed), units, w, without(estimate.EstimatedRatios), brief)
		s, err := o.out.Study(t.Context())
		require.NoError(t, err)
		for _, shift := range s.Shifts {
			if shift.Name != "installation" {
				continue
			}
			for control, e := range w.Effects {
				c, ok := shift.Fit.Coefficient("vent, " + string(control))
				if !ok || math.IsNaN(c.Value) {
					continue
				}
				planted := e.High.VentLevel
				if shift.Fire == judge.Low {
					planted = e.Low.VentLevel
				}
				n++
				if c.Low <= planted && planted <= c.High {
					held++
				}
				name := string(shift.Fire) + " " + string(control)
				off[name] = append(off[name], c.Value-planted)
				fits[name] = append(fits[name], rateOff{off: c.Value - planted, se: c.SE})
			}
		}
	}
	share := float64(held) / float64(n)
	t.Logf("%d of %d intervals hold (%.3f)", held, n, share)
	kept := measured.Of(t, "vent-effects")
	kept.Count("installation", "95 % intervals hold", held, n, "at least 0.90")
	for _, name := range sortedKeys(off) {
		all := off[name]
		mean, sd := stat.MeanStdDev(all, nil)
		se := sd / math.Sqrt(float64(len(all)))
		t.Logf("%s: %d fits, mean error %+.4f (%.4f)", name, len(all), mean, se)
		kept.Mean("installation, "+name, "mean error", mean, se, 4, "within 3 errors")
		if pooled, known := pooledOff(fits[name]); !long {
			require.Less(t, math.Abs(pooled), 3.3*known, name) // 1 in 1,000, by the fits' own errors: too few fleets to show one
		}
		if long && len(all) >= 10 {
			require.Less(t, math.Abs(mean), 3*se, name)
		}
	}
	wider := 0.0
	if !long {
		wider = 3 * math.Sqrt(0.95*0.05/float64(n))
	}
	require.GreaterOrEqual(t, share, 0.90-wider)
}
