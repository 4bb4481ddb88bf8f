package estimate_test

import (
	"context"
	"fmt"
	"math"
	"sort"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/watch"
	"fluedrift/datasets/fleet"
	"fluedrift/model/combustion"
	"fluedrift/model/judge"
)

const asOf = 20514 // 2026-03-02

func rulesFor(t *testing.T) estimate.Rules {
	fuels, err := combustion.Fuels(nil, combustion.AirO2Field)
	require.NoError(t, err)
	delete(fuels, "butane")
	delete(fuels, "propane-butane")
	j := judge.DefaultRules(fuels)
	w := watch.Defaults(asOf, j)
	r := estimate.DefaultRules(asOf, j)
	r.Planned = func(h *judge.History) int32 { return watch.PlanOf(h, w).PlannedDay }
	r.Workers = 2
	return r
}

func TestLook(t *testing.T) {
	for seed := uint64(1); seed <= 3; seed++ {
		f := fleet.New(fleet.Options{Units: 600, Years: 12, Seed: seed, AsOf: asOf, World: fleet.Demo()})
		hs := f.Histories()
		ptr := make([]*judge.History, len(hs))
		for i := range hs {
			ptr[i] = &hs[i]
		}
		r := rulesFor(t)

		out, err := estimate.Run(context.Background(), ptr, r)
		require.NoError(t, err)
		for _, fit := range out.Fits {
			fmt.Println(fit.Fire, fit.Fit.How, fit.Fit.Sigma, fit.Fit.Counts, len(fit.Fit.Unconfirmed), fit.Fit.Notes)
			for _, c := range fit.Fit.Coefficients {
				fmt.Printf("  %-40s %8.4f +- %.4f %s\n", c.Name, c.Value, c.SE, c.Dropped)
			}
		}
		type row struct {
			p   float64
			out bool
		}
		var rows []row
		cover, n := 0, 0
		var z2 float64
		for i := range hs {
			u, ok := f.UnitBySerial(hs[i].Unit.Serial)
			if !ok {
				continue
			}
			w, o := 0.0, false
			for _, ff := range out.Forecasts[i].Fires {
				truth := f.TrueCO2(u, ff.Fire, asOf)
				if math.IsNaN(truth) || math.IsNaN(ff.CO2Percent) {
					continue
				}
				n++
				if truth >= ff.LowPercent && truth <= ff.HighPercent {
					cover++
				}
				z := (truth - ff.CO2Percent) / ((ff.HighPercent - ff.LowPercent) / 3.29)
				z2 += math.Min(z*z, 9)
				d := truth - ff.TargetCO2Percent
				o = o || d > ff.ActRichPercent || d < -ff.ActLeanPercent
				w = math.Max(w, ff.Today.Out())
			}
			rows = append(rows, row{w, o})
		}
		sort.Slice(rows, func(a, b int) bool { return rows[a].p > rows[b].p })
		tot, top := 0, 0
		for i, x := range rows {
			if x.out {
				tot++
				if i < len(rows)/10 {
					top++
				}
			}
		}
		fmt.Printf("cover %.3f of %d, z %.2f; base %.3f top10 %.3f\n", float64(cover)/float64(n), n, math.Sqrt(z2/float64(n)), float64(tot)/float64(len(rows)), float64(top)/float64(len(rows)/10))
	}
}
