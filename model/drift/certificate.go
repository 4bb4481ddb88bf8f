package drift

import (
	"fmt"
	"math"
	"slices"
)

// Certificate is a bias measured from outside the readings: what a calibration
// found an analyzer to be off by before it was set right. It observes the end of a
// calibration period: b1 + b2 + the instrument columns of that day.
type Certificate struct {
	Analyzer, Period int       // columns; Period -1 where the bias has no part by period
	Level            []float64 // the level columns on that day; only those of instruments count
	Y, SD            float64   // found error and its standard deviation, points
}

// certificateLimit is the |t| from which a certificate is taken to be of something
// else than the readings: another gas, another instrument, a typing error.
const certificateLimit = 4

// certificateRounds is how many certificates are set aside at most, one after
// another: the rest is fitted again each time.
const certificateRounds = 8

func (in *Input) checkCertificates() error {
	for i, c := range in.Certificates {
		switch {
		case c.Analyzer < 0 || c.Analyzer >= in.Analyzers || c.Period >= in.Periods:
			return fmt.Errorf("certificate %d: analyzer column %d, period column %d: there are %d and %d",
				i, c.Analyzer, c.Period, in.Analyzers, in.Periods)
		case !(c.SD > 0) || math.IsNaN(c.Y) || math.IsInf(c.Y, 0):
			return fmt.Errorf("certificate %d: %g points found, standard deviation %g", i, c.Y, c.SD)
		case len(c.Level) != len(in.Design.Level):
			return fmt.Errorf("certificate %d: %d level covariates for %d columns", i, len(c.Level), len(in.Design.Level))
		}
	}
	return nil
}

// columns are the bias columns a certificate observes.
func (c *Certificate) columns(analyzers int) []int32 {
	out := []int32{int32(c.Analyzer)}
	if c.Period >= 0 {
		out = append(out, int32(analyzers+c.Period))
	}
	return out
}

// certificates are those of a fleet, less the ones that its readings contradict.
type certificates struct {
	list    []Certificate
	refused []bool
}

// each visits the certificates in use.
func (cs certificates) each(visit func(i int, c *Certificate)) {
	for i := range cs.list {
		if !cs.refused[i] {
			visit(i, &cs.list[i])
		}
	}
}

// without refuses one more.
func (cs certificates) without(certificate int) certificates {
	cs.refused = slices.Clone(cs.refused)
	cs.refused[certificate] = true
	return cs
}

// addTo adds each as one observation, its standard deviation in units of
// the noise a fit is expected to find.
func (cs certificates) addTo(s *sums, f *Fleet, sigma float64) {
	m, y := s.m, s.m-1
	var x []entry
	cs.each(func(_ int, c *Certificate) {
		w := sigma / c.SD * sigma / c.SD
		x = f.instrumentEntries(c.Level, x[:0])
		cols := c.columns(f.in.Analyzers)
		for i, a := range cols {
			for _, b := range cols[:i+1] {
				s.zz[f.layout.at(a, b)] += w
			}
			row := s.zx[int(a)*m : (int(a)+1)*m]
			for _, e := range x {
				row[e.at] += w * e.value
			}
			row[y] += w * c.Y
		}
		for i, e := range x {
			for _, o := range x[:i+1] {
				s.xx[e.at*m+o.at] += w * e.value * o.value
			}
			s.xx[y*m+e.at] += w * e.value * c.Y
		}
		s.xx[y*m+y] += w * c.Y * c.Y
		s.logdet -= math.Log(w)
		s.n++
	})
}

// contradicted returns the certificate furthest beyond certificateLimit from what
// the rest says, -1 without one, by the deletion residual r / (s sqrt(1 - h)), h =
// Var(fit)/s^2, s its standard deviation at the noise found.
func (cs certificates) contradicted(fit *Fit) int {
	worst, most := -1, float64(certificateLimit)
	cs.each(func(i int, c *Certificate) {
		value, sd := fit.contrast(fit.readsTerms(c.Analyzer, c.Period, c.Level, 1, nil))
		s := c.SD * fit.Sigma / fit.unit
		left := 1 - sd*sd/(s*s)
		if t := math.Abs(c.Y-value) / (s * math.Sqrt(left)); left > 1e-6 && t > most {
			worst, most = i, t
		}
	})
	return worst
}
