package drift

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A last reading that opens its segment because nobody wrote down what was found, or what
// was left before, is compared with the state the visits before left: the same formula as
// for one a cut isolates. A setting is not: a burner may be set to anything.
func TestLastReadingThatStandsAlone(t *testing.T) {
	cases := []struct {
		name        string
		visits      []Visit
		unconfirmed bool
		expected    int // visits that make the expectation
	}{
		{"as left only, nobody set it", []Visit{visit(0, Yes, left(0)), visit(1, No, left(1))}, true, 1},
		{"as left only, near what was expected", []Visit{visit(0, Yes, left(0)), visit(1, No, left(0.25))}, false, 1},
		{"as left only, set", []Visit{visit(0, Yes, left(0)), visit(1, Yes, left(1))}, false, 1},
		{"as left only, no flag: it may be set", []Visit{visit(0, Yes, left(0)), visit(1, Unknown, left(1))}, false, 1},
		{"as found after a setting not recorded", []Visit{visit(0, Yes, found(0.3)), visit(1, No, found(1.2))}, true, 1},
		{"the first reading there is", []Visit{visit(1, No, found(1.2))}, false, 0},
	}
	unfit := left(1)
	unfit.Use = ForState
	cases = append(cases, struct {
		name        string
		visits      []Visit
		unconfirmed bool
		expected    int
	}{"after a reading judged unfit", []Visit{visit(0, No, unfit), visit(1, No, found(0))}, false, 1})
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			last := c.visits[len(c.visits)-1]
			fit := oddFit(t, series(c.visits...), series(c.visits[:c.expected]...))
			p := fit.Predictor()
			o := p.Predictive(0)
			require.Equal(t, c.unconfirmed, o.Last != nil)
			assert.Equal(t, c.unconfirmed, o.Marks&LastUnconfirmed != 0)
			if !c.unconfirmed {
				return
			}
			rest := p.Predictive(1).At(band(last.T))
			assert.InDelta(t, rest.Reading.Mean, o.Last.Expected, 1e-12)
			f0, fT, fJ := 0.0, 0.0, 0.0
			for _, n := range rest.Shown {
				delta, v0 := last.Readings[0].Y-n.Mean, n.SD*n.SD
				normal := func(v float64) float64 { return n.Weight * math.Exp(-delta*delta/2/v) / math.Sqrt(2*math.Pi*v) }
				f0 += 0.985 * math.Exp(-0.04) * normal(v0)
				fT += 0.015 * normal(v0+0.64)
				fJ += (1 - 0.7) * (1 - math.Exp(-0.04)) * normal(v0+0.65*0.65)
			}
			assert.InDelta(t, fT/(f0+fT+fJ), o.Last.Wrong, 1e-12)
			day := band(last.T + 0.5)
			f := o.At(day)
			assert.InDelta(t, p.Predictive(1).At(day).POut, f.POutWithout, 1e-12)
			assert.InDelta(t, o.Last.Wrong*f.POutWithout+(1-o.Last.Wrong)*f.POutKept, f.POut, 1e-12)
		})
	}
}

// A last reading too near the others to be cut off, and too far to be taken as it
// is: a chance, a mistake, or a jump it shows. The weights add up, and each state
// is the forecast of a unit about which that is known.
func TestUnconfirmedWithoutACut(t *testing.T) {
	near := func(y float64) Series { return series(visit(0, Yes, left(0)), visit(4.5, No, found(y))) }
	known := series(visit(0, Yes, left(0)))
	for y := 0.3; y < 0.6; y += 0.02 {
		fit := oddFit(t, near(y), known)
		p := fit.Predictor()
		o := p.Predictive(0)
		if o.Last == nil || len(o.parts) < 3 {
			continue
		}
		assert.Greater(t, math.Abs(y-o.Last.Expected), 3*o.Last.SD)
		sum := 0.0
		for _, b := range o.parts {
			sum += b.weight
		}
		assert.InDelta(t, 1, sum, 1e-12)
		f := o.At(band(5))
		assert.InDelta(t, p.Predictive(1).At(band(5)).POut, f.POutWithout, 1e-12)
		assert.InDelta(t, o.Last.Wrong*f.POutWithout+(1-o.Last.Wrong)*f.POutKept, f.POut, 1e-12)
		assert.Less(t, f.POutWithout, f.POut)
		assert.Less(t, f.POut, f.POutKept)
		return
	}
	t.Fatal("no reading is in doubt without a cut")
}
