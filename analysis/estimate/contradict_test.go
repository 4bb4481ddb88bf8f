package estimate_test

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/measured"
	"fluedrift/model/judge"
)

// withPairs is a fleet whose records hold CO2 in tenths and beside it the O2 it was
// computed from, in hundredths: the O2 is the finer one. The O2 is exported since
// two years: no unit has enough pairs to tell by itself that they are computed.
func withPairs(t *testing.T, seed uint64, units int) (*world, estimate.Config) {
	w := invented(seed, units, plainWith(func(w *demo.World) { w.Gases = demo.OnlyCO2 }))
	r := rulesFor(t, w.histories)
	r.LeaveOut(estimate.EstimatedRatios)
	for _, h := range w.histories {
		for i := range h.Readings {
			x := &h.Readings[i]
			if !math.IsNaN(x.CO2Percent) && math.IsNaN(x.O2Percent) {
				if asOf-x.Day < 730 {
					x.O2Percent, x.O2Decimals = math.Round(100*r.Judge.Fuels[x.Fuel].O2FromCO2(x.CO2Percent))/100, 2
				}
				x.CO2Percent, x.CO2Decimals = math.Round(10*x.CO2Percent)/10, 1
			}
		}
	}
	return w, r
}

// newestLeft is the newest reading of a unit's first fire, -1 where it is no as-left
// reading with both gases.
func newestLeft(h *judge.History) int {
	for i := len(h.Readings) - 1; i >= 0; i-- {
		x := &h.Readings[i]
		if x.Fire != judge.High && x.Fire != judge.Single || x.Condition == judge.Between || h.Visits[x.Visit].Day > asOf {
			continue
		}
		if x.Condition == judge.AsLeft && x.O2Percent > 0 && x.CO2Percent > 0 && x.Target.CO2Percent > 0 &&
			h.Visits[x.Visit].Reason != judge.FactoryTest {
			return i
		}
		return -1
	}
	return -1
}

// A typed O2 does not overrule a CO2 that stands on target, nor a typed CO2 an O2
// that does: of two values that contradict each other both are candidates, and
// target and history weigh them. Where both fit as ill, the other keeps its share.
func TestOfAContradictingPairTheLikelierCounts(t *testing.T) {
	w, r := withPairs(t, 5, 80)
	at := slices.IndexFunc(w.histories, func(h *judge.History) bool {
		k := newestLeft(h)
		return k >= 0 && asOf-h.Readings[k].Day < 200
	})
	require.GreaterOrEqual(t, at, 0)
	h := w.histories[at]
	k := newestLeft(h)
	x := &h.Readings[k]
	fuel := r.Judge.Fuels[x.Fuel]
	state := func(co2Off, o2Off float64) (out, co2 float64) {
		was := *x
		defer func() { *x = was }()
		x.CO2Percent = math.Round(10*(x.Target.CO2Percent+co2Off)) / 10
		x.O2Percent = math.Round(100*fuel.O2FromCO2(x.Target.CO2Percent+o2Off)) / 100
		fleet, err := estimate.Run(t.Context(), w.histories, r)
		require.NoError(t, err)
		f := fleet.Forecasts[at].Fires[0]
		return f.Today.Out(), f.CO2Percent - x.Target.CO2Percent
	}
	sound, soundCO2 := state(0, 0)
	typedO2, typedO2CO2 := state(0, 0.65)
	typedCO2, typedCO2CO2 := state(-0.65, 0)
	both, _ := state(0.65, 0.65)
	t.Logf("chance out: sound %.2f, O2 typed wrong %.2f, CO2 typed wrong %.2f, both far out %.2f", sound, typedO2, typedCO2, both)
	require.InDelta(t, sound, typedO2, 0.15)
	require.InDelta(t, sound, typedCO2, 0.15)
	require.InDelta(t, soundCO2, typedO2CO2, 0.1)
	require.InDelta(t, soundCO2, typedCO2CO2, 0.1)
	require.Greater(t, both, 0.4)
}

// Typing errors in one gas of the newest as-left readings, O2 and CO2 alike, cost the
// order little: printed beside the order without them.
func TestOrderWithTypedGases(t *testing.T) {
	fleets, units := 2, 150
	if os.Getenv("FLUEDRIFT_LONG") != "" {
		fleets, units = 20, 600
	}
	var clean, dirty ranking
	typed := 0
	for seed := range fleets {
		w, r := withPairs(t, uint64(seed+1), units)
		order := func(sum *ranking) {
			w.rules = r
			w.rules.Judge.Pairs = nil // of the records as they are
			out, err := estimate.Run(t.Context(), w.histories, w.rules)
			require.NoError(t, err)
			w.out = out
			own, _ := w.ranked()
			sum.auc, sum.top5, sum.top10 = sum.auc+own.auc/float64(fleets), sum.top5+own.top5/float64(fleets), sum.top10+own.top10/float64(fleets)
		}
		order(&clean)
		typed += typeWrong(w, uint64(seed))
		order(&dirty)
	}
	t.Logf("%d fleets of %d, %d values typed wrong. Without: AUC %.3f, P@5 %.3f, P@10 %.3f; with: AUC %.3f, P@5 %.3f, P@10 %.3f",
		fleets, units, typed, clean.auc, clean.top5, clean.top10, dirty.auc, dirty.top5, dirty.top10)
	kept := measured.Of(t, "typed-gases")
	for _, of := range []struct {
		name string
		r    ranking
	}{{"no typing error", clean}, {"typing errors, both gases weighed", dirty}} {
		kept.Number(of.name, "AUC", of.r.auc, 3, "")
		kept.Number(of.name, "top 5 %", of.r.top5, 3, "")
		kept.Number(of.name, "top 10 %", of.r.top10, 3, "")
	}
	require.Greater(t, typed, 4*fleets)
	require.Greater(t, dirty.auc, clean.auc-0.02)
	require.Greater(t, dirty.top5, clean.top5-0.1)
}

// typeWrong types one gas of some of the newest as-left readings wrong: by 0.4 to 1.2
// points of CO2, or the O2 that is as far off.
func typeWrong(w *world, seed uint64) (typed int) {
	random := rand.New(rand.NewPCG(seed, 7))
	for _, h := range w.histories {
		k := newestLeft(h)
		if k < 0 || random.Float64() > 0.08 {
			continue
		}
		size := math.Copysign(0.4+0.8*random.Float64(), random.Float64()-0.5)
		if x := &h.Readings[k]; random.Float64() < 0.5 {
			x.O2Percent = math.Round(100*(x.O2Percent+1.8*size)) / 100
		} else {
			x.CO2Percent = math.Round(10*(x.CO2Percent+size)) / 10
		}
		typed++
	}
	return typed
}
