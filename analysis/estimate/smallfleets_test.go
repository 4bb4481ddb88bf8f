package estimate_test

import (
	"context"
	"fmt"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/measured"
	"fluedrift/datasets/worlds"
)

// smallFleet is a kind of fleet with few records: so many units, so many years.
type smallFleet struct{ units, years int }

var smallFleets = []smallFleet{{12, 2}, {12, 3}, {12, 6}, {40, 2}, {40, 3}, {40, 6}, {120, 2}, {120, 3}, {120, 6}}

// chances are what was said of units, and how they truly stood.
type chances struct {
	units    int
	sum, out float64
	// pairs of a unit out and one in: in the right order, ties half, the same before chances were held to the fleet, and all
	ordered, free, paired float64
}

func (c *chances) add(o chances) {
	c.units, c.sum, c.out = c.units+o.units, c.sum+o.sum, c.out+o.out
	c.ordered, c.free, c.paired = c.ordered+o.ordered, c.free+o.free, c.paired+o.paired
}

// chancesOf estimates one fleet of the demo's world.
func chancesOf(t testing.TB, k smallFleet, seed uint64) (c chances) {
	o := worldOf(worlds.Demo(demo.Options{Units: k.units, Years: k.years, Seed: seed, AsOf: asOf, World: demo.Default()}))
	o.rules = rulesFor(t, o.histories)
	o.rules.Brief = true
	var err error
	o.out, err = estimate.Run(context.Background(), o.histories, o.rules)
	require.NoError(t, err)
	judged, free := o.judged(), map[int]float64{}
	for i, p := range o.out.FreeChances() {
		free[o.units[i]] = p
	}
	for _, u := range judged {
		c.units, c.sum = c.units+1, c.sum+u.p
		if !u.out {
			continue
		}
		c.out++
		for _, v := range judged {
			if !v.out {
				c.ordered += inOrder(u.p, v.p)
				c.free += inOrder(free[u.unit], free[v.unit])
				c.paired++
			}
		}
	}
	return c
}

// inOrder is 1 where the unit out has the larger chance, one half of a tie.
func inOrder(out, in float64) float64 {
	switch {
	case out > in:
		return 1
	case out == in:
		return 0.5
	}
	return 0
}

// gain is by how much holding chances to the fleet raises the area under the curve,
// pairs of all fleets pooled, with its standard error over the fleets.
func gain(fleets []chances) (mean, se float64) {
	pairs, square := 0.0, 0.0
	for _, c := range fleets {
		mean, pairs = mean+c.ordered-c.free, pairs+c.paired
	}
	mean /= pairs
	for _, c := range fleets {
		d := c.ordered - c.free - mean*c.paired
		square += d * d
	}
	return mean, math.Sqrt(square) / pairs
}

// littleArea is a difference of areas that nobody would notice.
const littleArea = 0.002

// The chances of fleets too small to measure drift by are as many as are truly out,
// to .05, and their order is no worse than before they were held to that: by no more
// than littleArea and two standard errors of the difference in the same fleets. 40
// fleets of each kind in the long suite.
func TestSmallFleetsAreNotOverCalled(t *testing.T) {
	seeds, long := 5, os.Getenv("FLUEDRIFT_LONG") != ""
	if long {
		seeds = longSeeds(t, 40)
	}
	var all chances
	var fleets []chances
	kept := measured.Of(t, "small-fleets")
	for _, k := range smallFleets {
		var c chances
		from := len(fleets)
		eachSeed(seeds, func(seed uint64) chances { return chancesOf(t, k, seed) }, func(one chances) {
			c.add(one)
			fleets = append(fleets, one)
		})
		said, truth, area := c.sum/float64(c.units), c.out/float64(c.units), c.ordered/c.paired
		better, se := gain(fleets[from:])
		t.Logf("%3d units, %d years: mean chance %.3f, truly out %.3f, area within a fleet %.3f, %+.3f (%.3f) by holding, of %d", k.units,
			k.years, said, truth, area, better, se, c.units)
		of := fmt.Sprintf("%d units, %d years", k.units, k.years)
		kept.Number(of, "mean chance", said, 3, "within 0.05 of the truth")
		kept.Share(of, "truly outside, share", truth, c.units, "")
		kept.Number(of, "AUC within a fleet", area, 3, "")
		kept.Mean(of, "AUC gained by holding chances to the fleet", better, se, 3, "at least -0.002 and -2 errors")
		if long {
			require.InDelta(t, truth, said, 0.05, "%d units, %d years", k.units, k.years)
			require.Greater(t, better, -littleArea-2*se, "%d units, %d years", k.units, k.years)
		}
		all.add(c)
	}
	require.InDelta(t, all.out/float64(all.units), all.sum/float64(all.units), 0.05)
	require.Greater(t, all.ordered/all.paired, 0.75)
	better, se := gain(fleets)
	require.Greater(t, better, -littleArea-2*se)
}
