package estimate

import (
	"fmt"
	"math"
	"strings"

	"fluedrift/model/drift"
)

// Measured says in a sentence or two what the chances of a fleet rest on: on drift
// measured in its own records, or on assumptions.
func (f *Fleet) Measured() []string {
	var pairs []string
	n, found, assumed, part := 0, 0, 0, false
	for i := range f.Fits {
		fit := &f.Fits[i]
		k := fit.Beta.Counts.Differences
		if len(f.Fits) > 1 {
			pairs = append(pairs, fmt.Sprintf("%d at %s fire", k, fit.Fire))
		}
		n, found = n+k, found+fit.Fit.Held.Readings
		if fit.Beta.How == drift.Defaults {
			assumed++
		}
		part = part || k >= drift.MinFree && (fit.Beta.How == drift.Defaults || fit.Beta.How == drift.WithPriors)
	}
	if !f.hasChance() {
		return []string{"No chance of being out of limits is given: no fire has both a target and a reading that says where it stands."}
	}
	where := ""
	if len(pairs) > 0 {
		where = " (" + strings.Join(pairs, ", ") + ")"
	}
	switch {
	case assumed == len(f.Fits) && n >= drift.MinFit*len(f.Fits):
		return []string{fmt.Sprintf("Drift could not be measured here: %s of readings can be compared%s, but they do not tell it "+
			"from the noise of a reading. The chances rest on general assumptions and on %s.",
			countWords(n, "pair"), where, foundWords(found))}
	case assumed == len(f.Fits):
		return []string{fmt.Sprintf("Drift could not be measured here: %s of readings can be compared%s, and %d at a fire are "+
			"needed. The chances rest on general assumptions and on %s.",
			countWords(n, "pair"), where, drift.MinFit, foundWords(found))}
	case n < drift.MinFree*len(f.Fits):
		return []string{fmt.Sprintf("Drift was measured on %s of readings%s; below %d at a fire the chances also rest on general "+
			"assumptions and on %s.",
			countWords(n, "pair"), where, drift.MinFree, foundWords(found))}
	case part:
		return []string{fmt.Sprintf("Drift was measured on %s of readings%s, which tell little of it: the chances also rest on "+
			"general assumptions and on %s.",
			countWords(n, "pair"), where, foundWords(found))}
	}
	return []string{fmt.Sprintf("Drift was measured on %s of readings%s.", countWords(n, "pair"), where)}
}

// foundWords says what is known of how burners are found.
func foundWords(readings int) string {
	if readings < 2 {
		return "what burners are usually found at"
	}
	return fmt.Sprintf("the %d as-found readings of this fleet", readings)
}

func countWords(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
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
