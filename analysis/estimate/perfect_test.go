package estimate_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"
)

// How large the calibration error of right chances is depends on what units have in
// common: the units of an area that share a gas or an instrument are out together. A
// perfect forecaster's outcomes are therefore drawn with the dependence that the
// forecast errors of the fleet show within its areas. What the whole fleet is off by
// is no dependence and stays the forecaster's error.

// worse is the worse fire of a unit today.
type worse struct {
	rich, lean float64 // chances
	z          float64 // error of the expected state, standard deviations
	area       string
}

// perfectDraws is how often the outcomes of a perfect forecaster are drawn.
const perfectDraws = 400

// band is what a perfect forecaster's calibration error stays under in every world of
// a table at once, in 95 of 100 such tables: each world's share of the other five is
// one over their number (Bonferroni).
func band(draws []float64, inTable int) float64 {
	sorted := slices.Sorted(slices.Values(draws))
	return sorted[int(math.Ceil((1-0.05/float64(inTable))*float64(len(sorted))))-1]
}

// perfect adds the calibration errors that the fleet's chances would have if each were
// right.
func perfect(units []worse, seed uint64, to []float64) {
	within := intraclass(units)
	g := rand.New(rand.NewPCG(seed, 1))
	p, out := make([]float64, len(units)), make([]bool, len(units))
	for i, u := range units {
		p[i] = u.rich + u.lean
	}
	common := map[string]float64{}
	for k := range to {
		clear(common)
		for i, u := range units {
			if _, ok := common[u.area]; !ok {
				common[u.area] = g.NormFloat64()
			}
			e := math.Sqrt(within)*common[u.area] + math.Sqrt(1-within)*g.NormFloat64()
			at := distuv.UnitNormal.CDF(e)
			out[i] = at < u.lean || at > 1-u.rich
		}
		to[k] += rank(p, out).ece
	}
}

// intraclass is the correlation of errors within areas: the estimator of the analysis
// of variance for groups of unequal size (Donner 1986, Int. Stat. Rev. 54:67, from
// memory), not below 0. Errors are cut at four standard deviations.
func intraclass(units []worse) float64 {
	type area struct{ n, sum float64 }
	areas, all := map[string]*area{}, area{}
	var names []string
	cut := func(z float64) float64 { return min(max(z, -4), 4) }
	for _, u := range units {
		if areas[u.area] == nil {
			areas[u.area] = &area{}
			names = append(names, u.area)
		}
		for _, a := range []*area{areas[u.area], &all} {
			a.n, a.sum = a.n+1, a.sum+cut(u.z)
		}
	}
	k := float64(len(areas))
	if k < 2 || all.n <= k {
		return 0
	}
	between, inside, squares := 0.0, 0.0, 0.0
	for _, name := range names {
		a := areas[name]
		d := a.sum/a.n - all.sum/all.n
		between, squares = between+a.n*d*d/(k-1), squares+a.n*a.n
	}
	for _, u := range units {
		d := cut(u.z) - areas[u.area].sum/areas[u.area].n
		inside += d * d / (all.n - k)
	}
	size := (all.n - squares/all.n) / (k - 1)
	return max(0, (between-inside)/(between+(size-1)*inside))
}

// Errors that areas share are told from those they do not, and widen what a perfect
// forecaster scatters.
func TestPerfectForecasterErrsWithItsAreas(t *testing.T) {
	fleet := func(shared float64) (units []worse) {
		g := rand.New(rand.NewPCG(5, 5))
		for a := range 30 {
			common := g.NormFloat64()
			for range 40 {
				p := g.Float64() / 2
				units = append(units, worse{
					rich: p, lean: 0, area: string(rune('a' + a)),
					z: math.Sqrt(shared)*common + math.Sqrt(1-shared)*g.NormFloat64(),
				})
			}
		}
		return units
	}
	mean := func(units []worse) (sum float64) {
		draws := make([]float64, 100)
		perfect(units, 1, draws)
		for _, v := range draws {
			sum += v / 100
		}
		return sum
	}
	apart, together := fleet(0), fleet(0.4)
	require.InDelta(t, 0, intraclass(apart), 0.03)
	require.InDelta(t, 0.4, intraclass(together), 0.15) // of 30 areas
	require.Greater(t, mean(together), 1.2*mean(apart))
	require.Zero(t, intraclass(together[:40]), "one area tells nothing")
}
