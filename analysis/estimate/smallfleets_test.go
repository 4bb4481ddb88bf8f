package estimate_test

import (
	"context"
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
	"fluedrift/datasets/measured"
)

// smallFleet is a kind of fleet with few records: so many units, so many years.
// Area is the area under the curve within such fleets, pairs of units of one fleet
// pooled over seeds 1-40, as it was before chances were held to the fleet.
type smallFleet struct {
	units, years int
	area         float64
}

var smallFleets = []smallFleet{
	{12, 2, 0.566}, {12, 3, 0.621}, {12, 6, 0.753}, {40, 2, 0.670}, {40, 3, 0.751}, {40, 6, 0.789}, {120, 2, 0.816}, {120, 3, 0.822}, {120, 6, 0.845},
}

// chances are what was said of units, and how they truly stood.
type chances struct {
	units           int
	sum, out        float64
	ordered, paired float64 // pairs of a unit out and one in: in the right order, ties half, and all
}

func (c *chances) add(o chances) {
	c.units, c.sum, c.out = c.units+o.units, c.sum+o.sum, c.out+o.out
	c.ordered, c.paired = c.ordered+o.ordered, c.paired+o.paired
}

// chancesOf estimates one fleet of the demo's world.
func chancesOf(t testing.TB, k smallFleet, seed uint64) (c chances) {
	o := worldOf(demo.New(demo.Options{Units: k.units, Years: k.years, Seed: seed, AsOf: asOf, World: demo.Default()}))
	o.rules = rulesFor(t, o.histories)
	o.rules.Brief = true
	var err error
	o.out, err = estimate.Run(context.Background(), o.histories, o.rules)
	require.NoError(t, err)
	judged := o.judged()
	for _, u := range judged {
		c.units, c.sum = c.units+1, c.sum+u.p
		if !u.out {
			continue
		}
		c.out++
		for _, v := range judged {
			switch {
			case v.out:
				continue
			case u.p > v.p:
				c.ordered++
			case u.p == v.p:
				c.ordered += 0.5
			}
			c.paired++
		}
	}
	return c
}

// The chances of fleets too small to measure drift by are as many as are truly out,
// to .05, and their order is no worse than it was; 40 fleets of each kind in the long
// suite, where "no worse" leaves room for chance: three points with 12 units, one and
// a half else.
func TestSmallFleetsAreNotOverCalled(t *testing.T) {
	seeds, long := 5, os.Getenv("FLUEDRIFT_LONG") != ""
	if long {
		seeds = longSeeds(t, 40)
	}
	var all chances
	kept := measured.Of(t, "small-fleets")
	for _, k := range smallFleets {
		var c chances
		eachSeed(seeds, func(seed uint64) chances { return chancesOf(t, k, seed) }, c.add)
		said, truth, area := c.sum/float64(c.units), c.out/float64(c.units), c.ordered/c.paired
		t.Logf("%3d units, %d years: mean chance %.3f, truly out %.3f, area within a fleet %.3f (%.3f before) of %d", k.units, k.years, said, truth, area, k.area, c.units)
		of := fmt.Sprintf("%d units, %d years", k.units, k.years)
		kept.Number(of, "mean chance", said, 3, "within 0.05 of the truth")
		kept.Share(of, "truly outside, share", truth, c.units, "")
		kept.Number(of, "AUC within a fleet", area, 3, "")
		if long {
			room := 0.015
			if k.units == 12 {
				room = 0.03
			}
			require.InDelta(t, truth, said, 0.05, "%d units, %d years", k.units, k.years)
			require.Greater(t, area, k.area-room, "%d units, %d years", k.units, k.years)
		}
		all.add(c)
	}
	require.InDelta(t, all.out/float64(all.units), all.sum/float64(all.units), 0.05)
	require.Greater(t, all.ordered/all.paired, 0.75)
}
