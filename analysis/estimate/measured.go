package estimate

import (
	"math"

	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// Basis is what the chances of a fleet rest on: on drift measured in its own records,
// or on assumptions.
type Basis struct {
	Kind  BasisKind
	Pairs int         // of readings that can be compared, at all fires
	Fires []FirePairs // the same by fire, where there is more than one
	Found int         // as-found readings that say at what burners are found
}

// FirePairs are the pairs of readings of a fire that can be compared.
type FirePairs struct {
	Fire  judge.Fire
	Pairs int
}

// BasisKind is how far the records of a fleet carry its chances.
type BasisKind uint8

// Kinds of a basis.
const (
	NoChances    BasisKind = iota // no fire has both a target and a reading that says where it stands
	DriftInNoise                  // pairs enough, and drift does not show in their noise
	TooFewPairs                   // fewer than drift.MinFit a fire: nothing is measured
	FewPairs                      // fewer than drift.MinFree a fire: assumptions beside what is measured
	LittleTold                    // more, and they tell little
	DriftMeasured
)

// Basis says what the chances rest on.
func (f *Fleet) Basis() Basis {
	var out Basis
	assumed, part := 0, false
	for i := range f.Fits {
		fit := &f.Fits[i]
		k := fit.Beta.Counts.Differences
		if len(f.Fits) > 1 {
			out.Fires = append(out.Fires, FirePairs{fit.Fire, k})
		}
		out.Pairs, out.Found = out.Pairs+k, out.Found+fit.Fit.Held.Readings
		if fit.Beta.How == drift.Defaults {
			assumed++
		}
		part = part || k >= drift.MinFree && (fit.Beta.How == drift.Defaults || fit.Beta.How == drift.WithPriors)
	}
	switch {
	case !f.hasChance():
		out.Kind = NoChances
	case assumed == len(f.Fits) && out.Pairs >= drift.MinFit*len(f.Fits):
		out.Kind = DriftInNoise
	case assumed == len(f.Fits):
		out.Kind = TooFewPairs
	case out.Pairs < drift.MinFree*len(f.Fits):
		out.Kind = FewPairs
	case part:
		out.Kind = LittleTold
	default:
		out.Kind = DriftMeasured
	}
	return out
}

// hasChance reports whether any unit has a chance of being out.
func (f *Fleet) hasChance() bool {
	for _, c := range f.Forecasts {
		for i := range c.Fires {
			if !math.IsNaN(c.Fires[i].Today.Out()) {
				return true
			}
		}
	}
	return false
}
