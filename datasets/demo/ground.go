package demo

import (
	"fmt"
	"math"

	"fluedrift/model/day"
)

// ground is what everything in the fleet stands on: the options, the world and
// the streams of random numbers.
type ground struct {
	Options Options // with every default filled in

	world  World
	from   day.Day // first day of the records
	region int     // number of the region that is being written, from 0
}

// newGround fills in the defaults of the options.
func newGround(o Options) *ground {
	if o.Units == 0 {
		o.Units = 600
	}
	if o.Years == 0 {
		o.Years = 12
	}
	if o.Seed == 0 {
		o.Seed = 1
	}
	if o.AsOf == 0 {
		o.AsOf = day.Of(2026, 3, 2)
	}
	if o.World.Effects == nil {
		o.World = Default()
	}
	if o.regionSites == 0 {
		o.regionSites = regionSites
	}
	return &ground{Options: o, world: o.World, from: o.AsOf - day.Day(math.Round(float64(o.Years)*daysPerYear))}
}

// RegisterDays are the days on which the unit register was exported.
func (g *ground) RegisterDays() [2]day.Day {
	return [2]day.Day{g.Options.AsOf - 1022, g.Options.AsOf - 41}
}

// CalibrationsExported is the day on which calibrations were exported.
func (g *ground) CalibrationsExported() day.Day { return g.Options.AsOf - 14 }

// mark tells the exports of a region from those of the others: "r02_" and so on,
// nothing in the first.
func (g *ground) mark() string {
	if g.region == 0 {
		return ""
	}
	return fmt.Sprintf("r%02d_", g.region+1)
}
