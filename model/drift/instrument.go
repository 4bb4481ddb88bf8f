package drift

import "math"

// moments are the mean and the variance of a covariate.
type moments struct{ mean, variance float64 }

// periodOwners finds the analyzer each calibration period belongs to.
func (in *Input) periodOwners(rs *readings) []int32 {
	out := make([]int32, in.Periods)
	for p := range out {
		out[p] = -1
	}
	for at, p := range rs.per {
		if p >= 0 && rs.an[at] >= 0 {
			out[p] = rs.an[at]
		}
	}
	for _, c := range in.Certificates {
		if c.Period >= 0 && c.Analyzer >= 0 {
			out[c.Period] = int32(c.Analyzer)
		}
	}
	return out
}

// heldVar is the variance a state gains from columns with a MaxSE that are not in
// the fit, its covariates being those of the conditioning state and shift (of a reading).
func (p *Predictor) heldVar(next bool) float64 {
	f, total := p.fit.fleet, 0.0
	for _, k := range f.widen {
		sd := f.cols[k].Prior.SD
		x, spread := p.x[k]*f.scale[k], 0.0
		if next && f.cols[k].Instrument {
			x, spread = x+f.next[k].mean, f.next[k].variance
		}
		total += sd * sd * (x*x + spread)
	}
	return total
}

// Mean m and variance v of a product of the age a and its slope g, independent: the
// reading moves by g a, of mean g m and variance g^2 v + Var(g)(m^2 + v), and its error
// goes along with what the slope's error does to the state (2 m Cov(g, state)).

// nextInstrument adds what is expected of the instrument of a reading that nobody
// has made: the fleet's mean of each instrument column, and its variance.
func (p *Predictor) nextInstrument(out *dayState, b *base) {
	fit := p.fit
	f := fit.fleet
	n := len(p.g)
	for k, col := range f.used {
		if !f.cols[col].Instrument {
			continue
		}
		m, v := f.next[col].mean/f.scale[col], f.next[col].variance/(f.scale[col]*f.scale[col])
		row := b.cov[k*n : (k+1)*n]
		out.readingMean += fit.beta[k] * m
		out.readingVar += (fit.beta[k]*fit.beta[k] + row[k]) * v
		for i, g := range p.g {
			out.readingVar += 2 * m * row[i] * g
		}
		for j, other := range f.used {
			if f.cols[other].Instrument {
				out.readingVar += m * row[j] * f.next[other].mean / f.scale[other]
			}
		}
	}
	out.readingVar += p.heldVar(true) - p.heldVar(false)
	out.readingVar = math.Max(out.readingVar, 0)
}

// Widened says whether a column with a MaxSE is not in the fit though its covariate
// is known of some readings: every state has gained the variance of its prior.
func (fit *Fit) Widened(column string) bool {
	f := fit.fleet
	for _, k := range f.widen {
		if f.cols[k].Name == column && k < len(f.next) && f.next[k] != (moments{}) {
			return true
		}
	}
	return false
}
