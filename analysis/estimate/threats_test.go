package estimate_test

import (
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/measured"
	"fluedrift/model/day"
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

// ageError is the weighted mean error of the growth of the drift with age, over
// both fires, points a year per year.
func (o *world) ageError() float64 {
	sum, weight := 0.0, 0.0
	for i := range o.out.Fits {
		fit := &o.out.Fits[i]
		if c, ok := fit.Beta.Coefficient("age"); ok && !math.IsNaN(c.Value) {
			truth, _ := o.planted(fit.Fire, c.Name)
			w := 1 / (c.SE * c.SE)
			sum, weight = sum+w*(c.Value-truth), weight+w
		}
	}
	return sum / weight
}

// A threat is a world, what is done against it, and what it shows in: 0 would be
// harmless.
type threat struct {
	name    string
	world   demo.World
	clean   demo.World
	off, on func(r *estimate.Config)
	measure string
	of      func(o *world) float64
	harm    func(spoilt, clean float64) float64
	small   bool // seen in few small fleets, and tested on its own nowhere else
}

// threats are those that can be switched off here. Sample then full (no harm),
// analyzers of unequal noise and one contractor (reported only) and small fleets
// (priors as observations) have tests of their own.
func threats() (all []threat) {
	plain := modelsWorld()
	noChange := func(*estimate.Config) {}
	add := func(name string, world, clean demo.World, off, on func(*estimate.Config), m shownIn) {
		all = append(all, threat{name: name, world: world, clean: clean, off: off, on: on, measure: m.name, of: m.of, harm: m.harm})
	}
	seenInFew := func() { all[len(all)-1].small = true }

	fast := plainWith(func(w *demo.World) { settleAll(w, -0.15) })
	add("8 fast drift after adjustment", fast, fast, without(estimate.SettlingColumn), noChange, aucLost)
	add("8 the same", fast, fast, without(estimate.SettlingColumn), noChange, eceWon)

	lowFound := func(points float64) demo.World {
		return plainWith(func(w *demo.World) {
			w.AsFoundLow, w.CallOutsPerYear, w.AdjustShare = points, 0.6, 0.6
			settleAll(w, 0)
		})
	}
	add("2 as found reads 0.1 low", lowFound(0.1), lowFound(0), without(estimate.AsFoundColumn), noChange, eceWon)
	add("5 four tenths of technicians record selectively", strongDrift(0.4), strongDrift(0), without(estimate.UnflaggedFit), noChange,
		shownIn{"drift too large, points a year", (*world).exaggeration, more})

	step := demo.LevelStep{Area: "*", Day: day.Of(2024, 3, 1), CO2Points: -0.18}
	stepped := plainWith(func(w *demo.World) { w.LevelSteps = []demo.LevelStep{step} })
	known := func(r *estimate.Config) { r.LevelSteps = []estimate.LevelStep{{Area: "*", Day: step.Day}} }
	add("7 gas step of all areas, known", stepped, plain, noChange, known,
		shownIn{"growth of the drift with age, error", (*world).ageError, apart})
	add("7 the same", stepped, plain, noChange, known, eceWon)
	add("7 the same", stepped, plain, noChange, known, shownIn{"drift error, points a year", (*world).driftError, apart})

	typed := func(share float64) demo.World {
		return plainWith(func(w *demo.World) {
			w.Faults.Typing, w.JumpsPerYear, w.JumpCallOut, w.AdjustShare = share, 0.01, 0.4, 0.7
		})
	}
	lastTyped := plainWith(func(w *demo.World) { w.Faults.TypingLast, w.JumpsPerYear = 0.03, 0.01 })
	kept := func(r *estimate.Config) { r.Drift.TypingShare = 0 }
	add("1 three hundredths of readings typed wrong", typed(0.03), typed(0), kept, noChange, top5Lost)
	add("1 three hundredths of last readings typed wrong", lastTyped, plain, kept, noChange, top5Lost)
	seenInFew()
	add("1b no flags, half leave what they find", plainWith(func(w *demo.World) { w.FlagMissing, w.AdjustShare = 1, 0.5 }),
		plainWith(func(w *demo.World) { w.AdjustShare = 0.5 }),
		func(r *estimate.Config) { r.Drift.ResetNoFlag = 1 }, noChange, aucLost)
	seenInFew()
	add("4 burner control left out", plain, plain, without(estimate.ControlColumns), noChange, aucLost)
	seenInFew()

	curve := estimate.YearlyCurve(10, 10, 20, estimate.AirSpreadK)
	climate := func(r *estimate.Config) { r.Climate = &estimate.Climate{Outdoor: curve, Room: curve, Given: true} }
	autumn := plainWith(func(w *demo.World) { w.AirMissing, w.Autumn = 1, true })
	add("6 no temperatures, autumn visits", autumn, plainWith(func(w *demo.World) { w.Autumn = true }), without(estimate.YearlyAir), climate,
		eceWon)

	vents := shownIn{"vent effect, relative error", (*world).ventError, apart}
	add("3 vent lengths with an error of 50 %", plainWith(func(w *demo.World) { w.VentErrorSD = 0.5 }), plain, noChange,
		func(r *estimate.Config) { r.VentErrorSD = 0.5 }, vents)
	add("3 a third of vent lengths typed in", plainWith(func(w *demo.World) { w.VentTyped = 0.33 }), plain, without(estimate.SuspectedVents),
		noChange, vents)

	both := shownIn{"AUC", func(o *world) float64 {
		own := o.rankedWhere(func(h *judge.History) bool { return strings.HasPrefix(h.Unit.Area, "North") })
		return own.auc
	}, less}
	add("9 CO2 in steps of 0.5, O2 in 0.1, units with both", plainWith(func(w *demo.World) { w.DisplayStep, w.Display = 0.5, true }),
		plainWith(func(w *demo.World) { w.Display = true }), without(estimate.FinestGas), noChange, both)
	return all
}

// shownIn is what a threat shows in, and which way it is worse.
type shownIn struct {
	name string
	of   func(o *world) float64
	harm func(spoilt, clean float64) float64
}

func less(spoilt, clean float64) float64  { return clean - spoilt }
func more(spoilt, clean float64) float64  { return spoilt - clean }
func apart(spoilt, clean float64) float64 { return math.Abs(spoilt - clean) }

var (
	aucLost  = shownIn{"AUC", func(o *world) float64 { own, _ := o.ranked(); return own.auc }, less}
	eceWon   = shownIn{"ECE", func(o *world) float64 { own, _ := o.ranked(); return own.ece }, more}
	top5Lost = shownIn{"top 5 %", func(o *world) float64 { own, _ := o.ranked(); return own.top5 }, less}
)

// strongDrift is a world of three times the drift, with a share of technicians
// who write as found only where it is bad.
func strongDrift(selective float64) demo.World {
	return plainWith(func(w *demo.World) {
		w.SelectiveShare = selective
		for k, e := range w.Effects {
			e.High.RatePerYear *= 3
			e.Low.RatePerYear *= 3
			w.Effects[k] = e
		}
	})
}

// Each threat with its remedy and without, on the same fleets: the remedy takes
// away at least half of the harm. The normal suite runs few small fleets of the
// threats that have no test of their own, and allows two standard errors of so few.
func TestThreatsAndRemedies(t *testing.T) {
	n, units, long := 3, 120, os.Getenv("FLUEDRIFT_LONG") != ""
	if long {
		n, units = longSeeds(t, 20), 600
		fmt.Printf("%d fleets of %d units, fixed ratios; each threat without its remedy and with it, on the same fleets\n\n"+
			"| threat | measure | clean | without | with | harm taken away |\n|---|---|---|---|---|---|\n", n, units)
	}
	kept := measured.Of(t, "threats")
	for _, c := range threats() {
		if !long && !c.small {
			continue
		}
		t.Run(c.name, func(t *testing.T) { c.test(t, n, units, long, kept) })
	}
}

func (c *threat) test(t *testing.T, n, units int, long bool, kept *measured.Figures) {
	fixed := func(r *estimate.Config) {
		r.Brief, r.Workers = true, 1
		r.LeaveOut(estimate.EstimatedRatios)
	}
	var sum [3]float64
	var runs [][3]float64
	eachSeed(n, func(seed uint64) [3]float64 {
		return [3]float64{
			c.of(estimated(t, seed, units, c.clean, fixed)), c.of(estimated(t, seed, units, c.world, fixed, c.off)),
			c.of(estimated(t, seed, units, c.world, fixed, c.on)),
		}
	}, func(x [3]float64) {
		runs = append(runs, x)
		for k := range sum {
			sum[k] += x[k] / float64(n)
		}
	})
	before, after := c.harm(sum[1], sum[0]), c.harm(sum[2], sum[0])
	left, slack := after-before/2, 0.0 // more than half of the harm
	if !long {
		left = after - before*2/3 // small fleets tell less of analyzers and of shares
		square := 0.0
		for _, x := range runs {
			one := (x[2] - sum[2]) - (x[0]+2*x[1]-sum[0]-2*sum[1])/3
			square += one * one / float64(n-1)
		}
		slack = 2 * math.Sqrt(square/float64(n))
	}
	taken := "no harm to take"
	if before > 1e-4 {
		taken = fmt.Sprintf("%.0f %%", 100*(1-after/before))
	}
	of := c.name + ", " + c.measure
	kept.Number(of, "clean", sum[0], 4, "")
	kept.Number(of, "without", sum[1], 4, "")
	kept.Number(of, "with", sum[2], 4, "")
	if before > 1e-4 {
		kept.Number(of, "harm taken away, %", 100*(1-after/before), 0, "at least 50 of what can be seen")
	}
	row := fmt.Sprintf("| %s | %s | %.4f | %.4f | %.4f | %s |", c.name, c.measure, sum[0], sum[1], sum[2], taken)
	if long {
		fmt.Println(row)
	} else {
		t.Log(row, "two standard errors", slack)
	}
	if !long {
		require.Positive(t, before)
	}
	if c.enough(before) && left > slack {
		t.Errorf("%s: harm %.4f without the remedy, %.4f with it", c.name, before, after)
	}
}

// enough says whether there is harm enough to speak of half of it.
func (c *threat) enough(harm float64) bool {
	if strings.Contains(c.measure, "age") {
		return harm > 0.0005
	}
	return harm > 0.002
}
