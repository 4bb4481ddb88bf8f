package study

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// addedErrors are the error variances added, in units of the one there is.
var addedErrors = []float64{0, 0.5, 1, 1.5, 2}

// simex is simulation and extrapolation: errors of the size there is are added in
// growing measure, and the effect, as a parabola in the variance added, is followed
// back to where there would be none (Cook and Stefanski, J. Am. Stat. Assoc. 89,
// 1994). Its variance is followed back likewise: the mean variance of the fits less
// the variance between them (Stefanski and Cook, J. Am. Stat. Assoc. 90, 1995; both
// from memory). Where the size of the errors has an interval, the corrections at its
// ends, taken as 3.92 standard errors apart, add to the variance; where the upper end
// cannot be followed it counts as far off as the lower one.
func (c *Correction) simex(rows []*Row, set Config) error {
	naive, err := pooledTask(c.Kind, c.Fire, byLength).regress(rows)
	if err != nil {
		return err
	}
	c.Naive, c.Counts = naive.vent(), naive.counts
	slope, variance, err := c.follow(rows, set, c.ErrorSD)
	if err != nil {
		return err
	}
	if c.SizeHigh > c.SizeLow {
		other := *c
		low, _, err := other.follow(rows, set, c.SizeLow)
		if err != nil {
			return fmt.Errorf("at the lower end of the size of the errors: %w", err)
		}
		high, _, err := other.follow(rows, set, c.SizeHigh)
		if err != nil {
			high = 2*slope - low // beyond what can be followed: as far as the lower end
		}
		apart := (high - low) / (2 * distuv.UnitNormal.Quantile(quantile975))
		variance += apart * apart
	}
	c.Corrected = contrastOf(slope, math.Sqrt(variance), c.Naive.DF)
	return nil
}

// follow adds errors and follows the effect and its variance back; it fills what was
// added and what came of it.
func (c *Correction) follow(rows []*Row, set Config, sd float64) (slope, variance float64, err error) {
	if math.IsInf(sd, 1) {
		return 0, 0, errors.New("the size of errors in lengths has no upper end")
	}
	slopes, own := make([][]float64, len(addedErrors)), make([][]float64, len(addedErrors))
	for sim := range set.Simulations {
		errs := newLengthDraws(set.Seed, uint64(sim))
		for i, added := range addedErrors {
			if added == 0 && sim > 0 {
				continue
			}
			scale := math.Sqrt(added) * sd
			m := measure{ByLength, func(r *Row) float64 { return errs.measure(r, scale) }, byLength.years}
			f, err := pooledTask(c.Kind, c.Fire, m).regress(rows)
			if err != nil {
				return 0, 0, err
			}
			v := f.vent()
			slopes[i], own[i] = append(slopes[i], v.Value), append(own[i], v.SE*v.SE)
		}
	}
	c.Added, c.Slopes = addedErrors, nil
	var variances []float64
	for i := range addedErrors {
		c.Slopes = append(c.Slopes, stat.Mean(slopes[i], nil))
		between := 0.0
		if len(slopes[i]) > 1 {
			between = stat.Variance(slopes[i], nil)
		}
		variances = append(variances, stat.Mean(own[i], nil)-between)
	}
	if slope, err = parabolaAt(c.Added, c.Slopes, -1); err != nil {
		return 0, 0, err
	}
	if variance, err = parabolaAt(c.Added, variances, -1); err != nil || !(variance > 0) {
		return 0, 0, errors.New("the variance followed back is not positive: too few rows for errors of this size")
	}
	return slope, variance, nil
}

// lengthDraws holds a standard normal error for each recorded length of each unit,
// drawn as they are first met.
type lengthDraws struct {
	random *rand.Rand
	of     map[recordedLength]float64
}

type recordedLength struct {
	serial  string
	lengthM float64
}

func newLengthDraws(seed, stream uint64) *lengthDraws {
	return &lengthDraws{rand.New(rand.NewPCG(seed, 1000+stream)), map[recordedLength]float64{}}
}

// measure is a row's measure with errors of a size in its lengths.
func (d *lengthDraws) measure(r *Row, scale float64) float64 {
	moved := d.moved(recordedLength{r.Serial, r.LengthM}, scale)
	if r.Kind == Rerouting {
		moved -= d.moved(recordedLength{r.Serial, r.LengthBeforeM}, scale)
	}
	return r.OfRun + moved/r.LongestM
}

// moved is by how many metres an error moves a length.
func (d *lengthDraws) moved(l recordedLength, scale float64) float64 {
	z, ok := d.of[l]
	if !ok {
		z = d.random.NormFloat64()
		d.of[l] = z
	}
	return l.lengthM * (math.Exp(scale*z) - 1)
}

// parabolaAt fits a parabola by least squares and reads it at a place.
func parabolaAt(x, y []float64, at float64) (float64, error) {
	a := mat.NewDense(len(x), 3, nil)
	for i, v := range x {
		a.SetRow(i, []float64{1, v, v * v})
	}
	var b mat.VecDense
	if err := b.SolveVec(a, mat.NewVecDense(len(y), y)); err != nil {
		return math.NaN(), err
	}
	return b.AtVec(0) + b.AtVec(1)*at + b.AtVec(2)*at*at, nil
}
