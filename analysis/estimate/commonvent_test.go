package estimate_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// commonDrift is what a common vent adds to the drift of its units here, points a
// year: an invented figure, some times the standard error of a rate.
const commonDrift = 0.12

// sharing puts every share-th unit under ratio control on a common vent and the others
// on their own, and lets those on a common vent drift by so much a year more since
// they were last set. CO2 is what is recorded.
func (o *world) sharing(share int, pointsAYear float64) (units int) {
	for i, h := range o.histories {
		on := h.Unit.Control == "ratio" && i%share == 0
		for k := range h.VentRuns {
			h.VentRuns[k].CommonVent = "no"
			if on {
				h.VentRuns[k].CommonVent = "V" + h.Unit.Serial
			}
		}
		if on {
			units++
			driftMore(h, pointsAYear, math.MinInt32)
		}
	}
	return units
}

// driftMore adds a drift since the last setting, or a later day from which it goes on, to
// what was recorded.
func driftMore(h *judge.History, pointsAYear float64, from day.Day) {
	set := map[judge.Fire]day.Day{}
	at := 0
	for v := range h.Visits {
		for ; at < len(h.Readings) && h.Readings[at].Visit == v; at++ {
			x := &h.Readings[at]
			if _, known := set[x.Fire]; !known {
				set[x.Fire] = x.Day
			}
			if x.Condition == judge.AsLeft && h.Visits[v].Adjusted(x.Fire) == judge.Yes {
				set[x.Fire] = x.Day
			}
			x.CO2Percent += pointsAYear * float64(max(0, int32(x.Day-max(set[x.Fire], from)))) / 365.25
		}
		for _, fire := range []judge.Fire{judge.High, judge.Low, judge.Single} {
			if h.Visits[v].Adjusted(fire) == judge.Yes {
				set[fire] = h.Visits[v].Day
			}
		}
	}
}

// rateOff is an estimated rate less the planted one, with its standard error.
type rateOff struct {
	off, se float64
	covered bool
}

// commonRates returns the errors of rate and vent effect of ratio control at both
// fires: of units on a common vent, and of those on their own.
func commonRates(t *testing.T, o *world, common bool) (out map[string][]rateOff) {
	out = map[string][]rateOff{}
	for i := range o.out.Fits {
		fit := &o.out.Fits[i]
		for _, name := range []string{"time, ratio", "vent, ratio"} {
			truth, _ := o.planted(fit.Fire, name)
			for _, group := range []string{"", ", common vent"} {
				c, ok := fit.Beta.Coefficient(name + group)
				require.Equal(t, common || group == "", ok, name+group)
				if !ok {
					continue
				}
				require.Nil(t, c.Dropped)
				want := truth
				if name+group == "time, ratio, common vent" {
					want += commonDrift
				}
				out[name+group] = append(out[name+group], rateOff{c.Value - want, c.SE, c.Low <= want && want <= c.High})
			}
		}
	}
	return out
}

// pooledOff is the weighted mean error and its standard error.
func pooledOff(all []rateOff) (off, se float64) {
	weight := 0.0
	for _, x := range all {
		off, weight = off+x.off/(x.se*x.se), weight+1/(x.se*x.se)
	}
	return off / weight, 1 / math.Sqrt(weight)
}

// requireBinomial holds a count of 95 % intervals that cover to what is drawn with that
// share: 1 in 1,000 falls outside on either side.
func requireBinomial(t *testing.T, covered, of int, name string) {
	t.Helper()
	b := distuv.Binomial{N: float64(of), P: 0.95}
	assert.Greater(t, b.CDF(float64(covered)), 0.001, "%s: %d of %d covered", name, covered, of)
	assert.Greater(t, 1-b.CDF(float64(covered-1)), 0.001, "%s: %d of %d covered", name, covered, of)
}

// Units on a common vent that drift otherwise have a rate of their own: it comes out
// as planted, and that of the others as well. Without the strata the rate of all units
// under ratio control is off by their share of it. Intervals hold as often as those of
// 95 % should.
func TestCommonVentsDriftOnTheirOwn(t *testing.T) {
	n := 3
	if _, _, long := effort(); long {
		n = longSeeds(t, 100)
	}
	w := plainWith(func(w *demo.World) { w.Gases = demo.OnlyCO2 })
	with, without := map[string][]rateOff{}, []rateOff{}
	eachSeed(n, func(seed uint64) [2]map[string][]rateOff {
		var got [2]map[string][]rateOff
		for k, omit := range []estimate.Remedy{0, estimate.CommonVentStrata} {
			o := invented(seed, 300, w)
			require.Greater(t, o.sharing(3, commonDrift), 20)
			r := rulesFor(t, o.histories)
			quick(&r)
			r.LeaveOut(omit)
			r.Brief, r.Workers = true, 1
			var err error
			o.out, err = estimate.Run(context.Background(), o.histories, r)
			require.NoError(t, err)
			got[k] = commonRates(t, o, omit == 0)
		}
		return got
	}, func(got [2]map[string][]rateOff) {
		for name, all := range got[0] {
			with[name] = append(with[name], all...)
		}
		without = append(without, got[1]["time, ratio"]...)
	})
	for _, name := range []string{"time, ratio", "time, ratio, common vent", "vent, ratio", "vent, ratio, common vent"} {
		in := 0
		for _, x := range with[name] {
			if x.covered {
				in++
			}
		}
		off, se := pooledOff(with[name])
		t.Logf("%s: %d of %d covered, mean error %+.4f +- %.4f", name, in, len(with[name]), off, se)
		requireBinomial(t, in, len(with[name]), name)
		assert.Less(t, math.Abs(off), 3.3*se, name) // 1 in 1,000
	}
	off, se := pooledOff(without)
	t.Logf("time, ratio, without strata: mean error %+.4f +- %.4f", off, se)
	require.Greater(t, off, 0.02) // a third of the units under ratio control, a sixth of what is planted
	require.Greater(t, off, 3.3*se)
}

// A unit that was put on a common vent was not on it before: the drift of each of its
// runs counts for the class of that run.
func TestUnitsPutOnACommonVent(t *testing.T) {
	rates := map[string][]rateOff{}
	for seed := uint64(1); seed <= 2; seed++ {
		o := invented(seed, 300, plainWith(func(w *demo.World) { w.Gases = demo.OnlyCO2 }))
		o.sharing(1000, 0)
		changed := day.Of(2021, 3, 1)
		for i, h := range o.histories {
			if h.Unit.Control != "ratio" || i%2 > 0 || len(h.VentRuns) != 1 {
				continue
			}
			old, next := h.VentRuns[0], h.VentRuns[0]
			old.CommonVent, old.Until = "no", changed
			next.CommonVent, next.From = "V", changed
			h.VentRuns = []judge.VentRun{old, next}
			for k := range h.Readings {
				if h.Readings[k].Day >= changed {
					h.Readings[k].VentRun = 1
				}
			}
			driftMore(h, commonDrift, changed)
		}
		r := rulesFor(t, o.histories)
		quick(&r)
		brief(&r)
		var err error
		o.out, err = estimate.Run(context.Background(), o.histories, r)
		require.NoError(t, err)
		for name, all := range commonRates(t, o, true) {
			rates[name] = append(rates[name], all...)
		}
	}
	for name, all := range rates {
		off, se := pooledOff(all)
		t.Logf("%s: mean error %+.4f +- %.4f", name, off, se)
		require.Less(t, math.Abs(off), 3.3*se, name)
	}
}

// A few units on a common vent stay with their control: their drift cannot be told.
func TestFewCommonVentsStayWithTheirControl(t *testing.T) {
	o := invented(2, 150, plainWith(func(w *demo.World) { w.Gases = demo.OnlyCO2 }))
	require.Positive(t, o.sharing(40, commonDrift))
	var err error
	o.out, err = estimate.Run(context.Background(), o.histories, rulesFor(t, o.histories))
	require.NoError(t, err)
	for i := range o.out.Fits {
		_, ok := o.out.Fits[i].Beta.Coefficient("time, ratio, common vent")
		require.False(t, ok)
		_, ok = o.out.Fits[i].Beta.Coefficient("time, ratio")
		require.True(t, ok)
	}
	for _, e := range o.out.Fits[0].Effects {
		require.NotContains(t, e.Name, "common vent")
	}
}
