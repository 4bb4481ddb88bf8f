// Package demo invents a fleet of commercial gas boilers from a seed, with the
// truth that made it: sites, units, vent runs, a dozen years of visits by
// technicians with analyzers of their own bias, and the files three offices
// would have exported from that, damaged lines and all.
//
// Everything here is invented: places, names, serials, model lines, targets and
// the sizes of all effects. Only signs and ranges of the effects follow from
// first principles (see World). Nothing here may be used as a figure of the
// trade.
//
// The steps in order: World says what holds, and ground draws from it; the estate
// is sites and units with their vents (units.go, vents.go), the people are
// technicians with analyzers (crews.go); Truth says what a unit's CO2 truly is on a
// day (drift.go) and sends technicians (visits.go); the recorder turns what they
// saw into what an office wrote (records.go) and puts it into files (assemble.go),
// while the spoiler plants faults (faults.go, misplaced.go, damage.go); office_*.go
// and the registry (register.go) lay the records out; truth.go writes what was
// planted. Fleet is all of it. What a perfect reader of the files would hold, for
// tests, is worlds.Demo.
//
// The same options give the same bytes. A bigger fleet begins with the smaller
// one: unit i is the same unit. The package has no clock and reads no file.
//
// New holds a whole fleet as values. Write writes the exports of any number of units:
// it invents a region of the fleet at a time (stream.go), so that its memory does not
// grow with the fleet.
package demo

import (
	"fluedrift/model/combustion"
	"fluedrift/model/day"
)

// Options say which fleet to invent. Zero fields take the defaults named.
type Options struct {
	Units int     // 600
	Years int     // of records before the as-of day; 12
	Seed  uint64  // 1
	AsOf  day.Day // days from 1970-01-01; 2026-03-02
	World World   // Default()

	regionSites int // sites of a region, a multiple of 120; regionSites
}

// Fleet is an invented fleet with its records: what the exports are written
// from, and what truly was.
type Fleet struct {
	*Truth
	*registry
	*recorder
	pen
}

// The fuels of the fleet, by the conversion most analyzers use (common practice).
var (
	naturalGas = combustion.Fuel{Name: "natural gas", CO2MaxPercent: 11.8, Air: combustion.AirO2Field}
	Propane    = combustion.Fuel{Name: "propane", CO2MaxPercent: 13.7, Air: combustion.AirO2Field}
)

// New invents a fleet.
func New(o Options) *Fleet {
	g := newGround(o)
	return recorded(newTruth(g), &spoiler{ground: g})
}

// recorded writes down what truly was, as the offices did.
func recorded(t *Truth, s *spoiler) *Fleet {
	register := &registry{t}
	rec := &recorder{Truth: t, register: register, spoil: s}
	rec.record()
	rec.assemble()
	return &Fleet{Truth: t, registry: register, recorder: rec, pen: newPen(&t.world)}
}

// fuelNamed returns the fuel with a name.
func fuelNamed(name string) combustion.Fuel {
	if name == Propane.Name {
		return Propane
	}
	return naturalGas
}

// otherFuel returns the name of the fleet's other fuel.
func otherFuel(name string) string {
	if name == Propane.Name {
		return naturalGas.Name
	}
	return Propane.Name
}
