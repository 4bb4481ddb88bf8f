package judge

import "math"

// Resolution says in which steps a source shows its gas values, in points;
// NaN where too few values tell.
type Resolution struct{ CO2Step, O2Step float64 }

const (
	resolutionLeast = 40   // values that a step is told from
	resolutionShare = 0.95 // of them that lie on it
)

// DisplayedValues counts the gas values that each source shows, to tell the steps it shows
// them in. The zero value is ready to use.
type DisplayedValues struct{ grids map[string]*grid }

type grid struct{ co2, o2 counts }

// CO2 counts a value of CO2 (% by volume dry) that a source shows n times; NaN
// is no value.
func (s *DisplayedValues) CO2(source string, percent float64, n int) {
	s.grid(source).co2.add(percent, n)
}

// O2 counts a value of O2 (% by volume dry) that a source shows n times; NaN is
// no value.
func (s *DisplayedValues) O2(source string, percent float64, n int) {
	s.grid(source).o2.add(percent, n)
}

func (s *DisplayedValues) grid(source string) *grid {
	if s.grids == nil {
		s.grids = map[string]*grid{}
	}
	if s.grids[source] == nil {
		s.grids[source] = &grid{}
	}
	return s.grids[source]
}

// Resolutions finds for each source the coarsest of 0.5, 0.1 and 0.01 that
// carries its values. The decimals of an export do not tell: 9.00 may come from
// a display of one decimal.
func (s *DisplayedValues) Resolutions() map[string]Resolution {
	all := make(map[string]Resolution, len(s.grids))
	for source, g := range s.grids {
		all[source] = Resolution{g.co2.step(), g.o2.step()}
	}
	return all
}

// Resolutions are those of the sources of a fleet's histories.
func Resolutions(histories []*History) map[string]Resolution {
	var s DisplayedValues
	for _, h := range histories {
		for i := range h.Readings {
			x := &h.Readings[i]
			source := h.Visits[x.Visit].Source
			s.CO2(source, x.CO2Percent, 1)
			s.O2(source, x.O2Percent, 1)
		}
	}
	return s.Resolutions()
}

// steps are the steps tried, the coarsest first.
var steps = [...]float64{0.5, 0.1, 0.01}

// counts says how many values lie on each step.
type counts struct {
	all int
	on  [len(steps)]int
}

func (c *counts) add(v float64, n int) {
	if math.IsNaN(v) {
		return
	}
	c.all += n
	for k, step := range steps {
		if at := v / step; math.Abs(at-math.Round(at)) < 1e-6 {
			c.on[k] += n
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
func (c pairCheck) halves(x *Reading) (co2, o2 float64) {
	r := c.r.Resolutions[c.h.Visits[x.Visit].Source]
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
