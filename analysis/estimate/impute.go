package estimate

import (
	"math"

	"fluedrift/model/day"
	"fluedrift/model/drift"
)

// minDonors is how many units with known vents a model line needs to speak for
// those without (common practice, no source).
const minDonors = 5

// spread is a middle value and the variance between units about it.
type spread struct{ median, variance float64 }

func spreadOf(x []float64) (s spread) {
	s.median, s.variance = drift.Middle(x)
	return s
}

// impute gives the units of a fit whose vent or age is not known what stands for
// it in a forecast: the median of their model line, where it has minDonors units
// that are known, else the fleet's. Only the columns of the unit's own stratum
// count: in the others it is 0, and known to be.
func impute(b *builder, f *FireFit) {
	lines := map[string][]float64{}
	var vents, ages []float64
	for _, h := range b.histories {
		if z := b.vents.now(h); !math.IsNaN(z) {
			lines[h.Unit.ModelLine], vents = append(lines[h.Unit.ModelLine], z), append(vents, z)
		}
		if h.Unit.Installed != day.None {
			ages = append(ages, years(b.rules.AsOf)-years(h.Unit.Installed))
		}
	}
	fleet, age := spreadOf(vents), spreadOf(ages)
	of := map[string]spread{}
	for line, z := range lines {
		if line != "" && len(z) >= minDonors {
			of[line] = spreadOf(z)
		}
	}
	for k, u := range f.units {
		vent, ok := of[u.h.Unit.ModelLine]
		if !ok {
			vent = fleet
		}
		u.s.Imputed = u.imputation(vent, age)
		f.series[k].Imputed = u.s.Imputed
	}
}
