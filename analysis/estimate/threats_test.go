package estimate_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/fleet"
	"fluedrift/model/judge"
)

// drift is the weighted mean error of the drift by control at a middling vent,
// each times a sign that depends on what was planted.
func (o *world) drift(sign func(planted float64) float64) float64 {
	sum, weight := 0.0, 0.0
	for i := range o.out.Fits {
		fit := &o.out.Fits[i]
		for _, c := range fit.Beta.Coefficients {
			truth, group := o.planted(fit.Fire, c.Name)
			if group != "rate" || math.IsNaN(c.Value) {
				continue
			}
			vent, ok := fit.Beta.Coefficient(strings.Replace(c.Name, "time", "vent", 1))
			if !ok || math.IsNaN(vent.Value) {
				continue
			}
			planted, _ := o.planted(fit.Fire, vent.Name)
			z := o.out.Vents.Spread.Mean
			w := 1 / (c.SE * c.SE)
			err := sign(truth+z*planted) * (c.Value - truth + z*(vent.Value-planted))
			sum, weight = sum+w*err, weight+w
		}
	}
	return sum / weight
}

// driftError is the weighted mean error of the drift by control at a middling
// vent, over both fires, points a year.
func (o *world) driftError() float64 { return o.drift(func(float64) float64 { return 1 }) }

// exaggeration is by how much it is too large in its own direction.
func (o *world) exaggeration() float64 {
	return o.drift(func(planted float64) float64 { return math.Copysign(1, planted) })
}

// ventError is the weighted mean of the vent effect's error over the planted one,
// under fixed air: -1 is no effect seen.
func (o *world) ventError() float64 {
	sum, weight := 0.0, 0.0
	for i := range o.out.Fits {
		fit := &o.out.Fits[i]
		for _, c := range fit.Beta.Coefficients {
			if c.Name == "vent, fixed air" && !math.IsNaN(c.Value) {
				truth, _ := o.planted(fit.Fire, c.Name)
				w := truth * truth / (c.SE * c.SE)
				sum, weight = sum+w*(c.Value-truth)/truth, weight+w
			}
		}
	}
	return sum / weight
}

// A threat is a world, what is done against it, and what it shows in: 0 would be
// harmless.
type threat struct {
	name    string
	world   fleet.World
	clean   fleet.World
	off, on func(r *estimate.Rules)
	measure string
	of      func(o *world) float64
	harm    func(spoilt, clean float64) float64
}

func noChange(*estimate.Rules) {}

// threats are those that can be switched off here. Sample then full (no harm),
// analyzers of unequal noise and one contractor (reported only) and small fleets
// (priors as observations) have tests of their own.
func threats() []threat {
	auc := func(o *world) float64 { own, _ := o.ranked(); return own.auc }
	both := func(o *world) float64 {
		own := o.rankedWhere(func(h *judge.History) bool { return strings.HasPrefix(h.Unit.Area, "North") })
		return own.auc
	}
	ece := func(o *world) float64 { own, _ := o.ranked(); return own.ece }
	top5 := func(o *world) float64 { own, _ := o.ranked(); return own.top5 }
	less := func(spoilt, clean float64) float64 { return clean - spoilt }
	more := func(spoilt, clean float64) float64 { return spoilt - clean }
	step := fleet.LevelStep{Area: "*", Day: fleet.Day(2024, 3, 1), CO2Points: -0.18}
	curve := estimate.YearlyCurve(10, 10, 20)
	climate := func(r *estimate.Rules) { r.Climate = &estimate.Climate{Outdoor: curve, Room: curve, Given: true} }
	plain := modelsWorld()
	fast := plainWith(func(w *fleet.World) { settleAll(w, -0.15) })
	lowFound := plainWith(func(w *fleet.World) { w.AsFoundLow, w.CallOutsPerYear, w.AdjustShare = 0.1, 0.6, 0.6; settleAll(w, 0) })
	lowFoundClean := plainWith(func(w *fleet.World) { w.CallOutsPerYear, w.AdjustShare = 0.6, 0.6; settleAll(w, 0) })
	autumn := plainWith(func(w *fleet.World) { w.AirMissing, w.Autumn = 1, true })
	typos := plainWith(func(w *fleet.World) { w.Faults.TypingLast, w.JumpsPerYear = 0.03, 0.01 })
	strong := func(share float64) fleet.World {
		return plainWith(func(w *fleet.World) {
			w.SelectiveShare = share
			for k, e := range w.Effects {
				e.High.RatePerYear *= 3
				e.Low.RatePerYear *= 3
				w.Effects[k] = e
			}
		})
	}
	return []threat{
		{"8 fast drift after adjustment", fast, fast, without(estimate.SettlingColumn), noChange, "AUC", auc, less},
		{"8 the same", fast, fast, without(estimate.SettlingColumn), noChange, "ECE", ece, more},
		{"2 as found reads 0.1 low", lowFound, lowFoundClean, without(estimate.AsFoundColumn), noChange, "ECE", ece, more},
		{"5 four tenths of technicians record selectively", strong(0.4), strong(0), without(estimate.UnflaggedFit), noChange, "drift too large, points a year", (*world).exaggeration, more},
		{"7 gas step of all areas, known", plainWith(func(w *fleet.World) { w.LevelSteps = []fleet.LevelStep{step} }), plain, noChange,
			func(r *estimate.Rules) { r.LevelSteps = []estimate.LevelStep{{Area: "*", Day: step.Day}} }, "drift error, points a year", (*world).driftError, func(s, c float64) float64 { return math.Abs(s - c) }},
		{"1 last readings typed wrong", typos, plain, func(r *estimate.Rules) { r.Drift.TypingShare = 0 }, noChange, "top 5 %", top5, less},
		{"1b no flags, half leave what they find", plainWith(func(w *fleet.World) { w.FlagMissing, w.AdjustShare = 1, 0.5 }), plainWith(func(w *fleet.World) { w.AdjustShare = 0.5 }),
			func(r *estimate.Rules) { r.Drift.ResetNoFlag = 1 }, noChange, "AUC", auc, less},
		{"4 burner control left out", plain, plain, without(estimate.ControlColumns), noChange, "AUC", auc, less},
		{"6 no temperatures, autumn visits", autumn, plainWith(func(w *fleet.World) { w.Autumn = true }), without(estimate.YearlyAir), climate, "ECE", ece, more},
		{"3 vent lengths with an error of 50 %", plainWith(func(w *fleet.World) { w.VentErrorSD = 0.5 }), plain, noChange, func(r *estimate.Rules) { r.VentErrorSD = 0.5 }, "vent effect, relative error", (*world).ventError, func(s, c float64) float64 { return math.Abs(s - c) }},
		{"3 a third of vent lengths typed in", plainWith(func(w *fleet.World) { w.VentTyped = 0.33 }), plain, without(estimate.SuspectedVents), noChange, "vent effect, relative error", (*world).ventError, func(s, c float64) float64 { return math.Abs(s - c) }},
		{"9 CO2 in steps of 0.5, O2 in 0.1, units with both", plainWith(func(w *fleet.World) { w.DisplayStep, w.Display = 0.5, true }), plainWith(func(w *fleet.World) { w.Display = true }), without(estimate.FinestGas), noChange, "AUC", both, less},
	}
}

// Each threat with its remedy and without, on the same fleets.
func TestThreatsAndRemedies(t *testing.T) {
	n := longSeeds(t, 20)
	fmt.Printf("%d fleets of 600 units, fixed ratios; each threat without its remedy and with it, on the same fleets\n\n| threat | measure | clean | without | with | harm taken away |\n|---|---|---|---|---|---|\n", n)
	for _, c := range threats() {
		var clean, off, on float64
		eachSeed(n, func(seed uint64) [3]float64 {
			fixed := func(r *estimate.Rules) { r.Omit, r.Workers = estimate.EstimatedRatios, 1 }
			return [3]float64{c.of(estimated(t, seed, 600, c.clean, fixed)), c.of(estimated(t, seed, 600, c.world, fixed, c.off)), c.of(estimated(t, seed, 600, c.world, fixed, c.on))}
		}, func(x [3]float64) {
			clean, off, on = clean+x[0]/float64(n), off+x[1]/float64(n), on+x[2]/float64(n)
		})
		before, after := c.harm(off, clean), c.harm(on, clean)
		taken := "no harm to take"
		if before > 1e-4 {
			taken = fmt.Sprintf("%.0f %%", 100*(1-after/before))
		}
		fmt.Printf("| %s | %s | %.4f | %.4f | %.4f | %s |\n", c.name, c.measure, clean, off, on, taken)
		if before > 0.002 && after > before/2 {
			t.Errorf("%s: harm %.4f without the remedy, %.4f with it", c.name, before, after)
		}
	}
}
