package judge

import "math"

// Resolution says in which steps a source shows its gas values, in points;
// NaN where too few values tell.
type Resolution struct{ CO2Step, O2Step float64 }

const (
	resolutionLeast = 40   // values that a step is told from
	resolutionShare = 0.95 // of them that lie on it
)

// Resolutions finds for each source of a fleet the coarsest of 0.5, 0.1 and
// 0.01 that carries its values. The decimals of an export do not tell: 9.00 may
// come from a display of one decimal.
func Resolutions(histories []*History) map[string]Resolution {
	type grid struct{ co2, o2 counts }
	grids := map[string]*grid{}
	for _, h := range histories {
		for i := range h.Readings {
			x := &h.Readings[i]
			source := h.Visits[x.Visit].Source
			if grids[source] == nil {
				grids[source] = &grid{}
			}
			grids[source].co2.add(x.CO2Percent)
			grids[source].o2.add(x.O2Percent)
		}
	}
	all := make(map[string]Resolution, len(grids))
	for source, g := range grids {
		all[source] = Resolution{g.co2.step(), g.o2.step()}
	}
	return all
}

// steps are the steps tried, the coarsest first.
var steps = [...]float64{0.5, 0.1, 0.01}

// counts says how many values lie on each step.
type counts struct {
	all int
	on  [len(steps)]int
}

func (c *counts) add(v float64) {
	if math.IsNaN(v) {
		return
	}
	c.all++
	for k, step := range steps {
		if n := v / step; math.Abs(n-math.Round(n)) < 1e-6 {
			c.on[k]++
		}
	}
}

// step returns the coarsest step that carries the values, 0 where none does.
func (c *counts) step() float64 {
	if c.all < resolutionLeast {
		return math.NaN()
	}
	for k, step := range steps {
		if float64(c.on[k]) >= resolutionShare*float64(c.all) {
			return step
		}
	}
	return 0
}

// halves returns half of the last digit of a reading's CO2 and O2: that of its
// decimals, or half the step of its source where that is wider; half a tenth
// where neither is known.
func (b *bench) halves(x *Reading) (co2, o2 float64) {
	r := b.r.Resolutions[b.h.Visits[x.Visit].Source]
	return halfDigit(x.CO2Decimals, r.CO2Step), halfDigit(x.O2Decimals, r.O2Step)
}

func halfDigit(decimals int8, step float64) float64 {
	half := 0.0
	if decimals >= 0 {
		half = 0.5 * math.Pow10(-int(decimals))
	}
	if step > 2*half {
		half = step / 2
	}
	if half == 0 {
		half = 0.05
	}
	return half
}

// surely returns the deviation of a reading brought nearer to its target by
// half of its last digit: what lies beyond a limit with it does so whichever
// gas was recorded, and however it was rounded.
func (r *Rules) surely(x *Reading) float64 {
	half := halfDigit(x.CO2Decimals, 0)
	if math.IsNaN(x.CO2Percent) {
		half = halfDigit(x.O2Decimals, 0) * r.Fuels[x.Fuel].CO2PerO2()
	}
	d := r.Deviation(x)
	return math.Copysign(math.Max(0, math.Abs(d)-half), d)
}
