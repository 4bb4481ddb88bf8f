package drift

import (
	"fmt"
	"maps"
	"math"
)

// moments are the mean and the variance of a covariate.
type moments struct{ mean, variance float64 }

// levelMoments are those of the level columns over all readings: what the next
// reading's instrument is expected to be like.
func (f *Fleet) levelMoments() []moments {
	n := len(f.in.Design.Level)
	out := make([]moments, n)
	count := float64(len(f.t))
	if count == 0 {
		return out
	}
	for at := range f.t {
		for k, x := range f.f[at*f.stride:][:n] {
			out[k].mean += x / count
		}
	}
	for at := range f.t {
		for k, x := range f.f[at*f.stride:][:n] {
			out[k].variance += (x - out[k].mean) * (x - out[k].mean) / count
		}
	}
	return out
}

// periodOwners finds the analyzer each calibration period belongs to.
func (f *Fleet) periodOwners() []int32 {
	out := make([]int32, f.in.Periods)
	for p := range out {
		out[p] = -1
	}
	for at, p := range f.per {
		if p >= 0 && f.an[at] >= 0 {
			out[p] = f.an[at]
		}
	}
	for _, c := range f.in.Certificates {
		if c.Period >= 0 && c.Analyzer >= 0 {
			out[c.Period] = int32(c.Analyzer)
		}
	}
	return out
}

// excluded says whether a column is kept out of the fit, and why.
func (f *Fleet) excluded(k int) (why string, out bool) {
	if why, out = f.held[k]; out {
		return why, out
	}
	why, out = f.exclude[k]
	return why, out
}

// findWidening lists the columns with a MaxSE that are not in the fit.
func (f *Fleet) findWidening() {
	f.widen = nil
	in := make([]bool, f.stride)
	for _, k := range f.used {
		in[k] = true
	}
	for k, c := range f.cols {
		if _, meant := f.exclude[k]; !in[k] && c.MaxSE > 0 && c.Prior != nil && !meant {
			f.widen = append(f.widen, k)
		}
	}
}

// Ageing of instruments and drift of units are told apart by calibrations that fall
// between readings. Where those are few the slope rests on its prior, and its error
// moves the level of every unit the same way: forecasts would be confidently wrong
// together. Then it is honest to leave the column out and to widen every interval by
// what the prior allows (package model, Time, analyzer, calibration).

// holding returns the fleet without the columns of a fit whose standard error is
// beyond their MaxSE, and what that means in words; nil where there are none.
func (f *Fleet) holding(fit *Fit) (*Fleet, []string) {
	var notes []string
	out := *f
	for _, c := range fit.Coefficients {
		for k := range f.cols {
			if limit := f.cols[k].MaxSE; f.cols[k].Name != c.Name || !(limit > 0) || !(c.SE > limit) {
				continue
			}
			held := map[int]string{k: fmt.Sprintf("known no better than ±%.2f: instruments and units cannot be told apart", c.SE)}
			maps.Copy(held, out.held)
			out.held = held
			notes = append(notes, f.wideningNote(k))
		}
	}
	if notes == nil {
		return nil, nil
	}
	out.findAliased()
	return &out, notes
}

// wideningNote says what a column out of the fit does to the forecasts.
func (f *Fleet) wideningNote(k int) string {
	c := &f.cols[k]
	return fmt.Sprintf("instruments and units cannot be told apart on these records (%s): intervals allow for ±%.2f %s", c.Name, c.Prior.SD, c.Unit)
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
