package drift

import "math"

// moves is how units move from one reading to the next: mostly less than a normal
// distribution of their spread has it, and now and then much more. It is a mixture
// of two normal distributions about one mean, which together have the variance of
// the fit.
type moves struct {
	rare       float64 // share of the wide one; 0: one normal distribution
	calm, wide float64 // their variances, over that of the fit
}

// Bounds of what is said of moves.
const (
	minHeldOut  = 200  // units that are told from
	maxHeldOut  = 3000 // and no more are looked at
	heavyTails  = 1    // excess kurtosis from which moves are taken in two
	surerByLogs = 3    // log likelihood that two must gain over one
)

// movement tells how units move from the last reading of each that closes a difference,
// compared with what came before it. Where the excess kurtosis of these, standardized, is
// at most heavyTails, or two distributions say hardly more than one, it is one normal
// distribution.
func movement(fit *Fit) moves {
	p := fit.Predictor()
	n := len(fit.fleet.in.Series)
	step := max(1, n/maxHeldOut)
	var all []heldOut
	square, fourth := 0.0, 0.0
	for u := 0; u < n; u += step {
		if h, ok := holdOut(p, u); ok {
			all = append(all, h)
			square, fourth = square+h.z*h.z, fourth+h.z*h.z*h.z*h.z
		}
	}
	k := float64(len(all))
	if len(all) < minHeldOut || fourth*k/(square*square)-3 <= heavyTails {
		return moves{}
	}
	for i := range all { // to the fit's spread: their own readings are in it
		all[i].z /= math.Sqrt(square / k)
	}
	return likeliest(all)
}

// heldOut is a reading against what was expected of it: how many standard
// deviations it is off, and which share of its variance is movement.
type heldOut struct{ z, moved float64 }

// likeliest tries shares and widths, all of the variance of the fit; the likeliest
// pair by maximum likelihood, the zero value where one distribution will do.
func likeliest(all []heldOut) (best moves) {
	one := logLikelihood(all, moves{0, 1, 1})
	most := one + surerByLogs
	for _, rare := range []float64{0.03, 0.06, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5} {
		for wide := 1.5; rare*wide < 0.97; wide *= 1.25 {
			m := moves{rare, (1 - rare*wide) / (1 - rare), wide}
			if l := logLikelihood(all, m); l > most {
				best, most = m, l
			}
		}
	}
	return best
}

func logLikelihood(all []heldOut, m moves) (sum float64) {
	for _, h := range all {
		rest := 1 - h.moved
		sum += math.Log((1-m.rare)*density(h.z, rest+h.moved*m.calm) + m.rare*density(h.z, rest+h.moved*m.wide))
	}
	return sum
}

// holdOut predicts the reading that ends a unit's last difference from what came
// before it. ok is false for a unit without a difference.
func holdOut(p *Predictor, u int) (h heldOut, ok bool) {
	f := p.fit.fleet
	at := f.rows.first[u+1]
	if at == f.rows.first[u] {
		return h, false
	}
	d := &f.rows.diffs[at-1]
	j := int(d.j)
	p.without = j
	b := p.base(u, p.history(u).readingState(int(d.i), 1))
	p.without = -1
	v := &f.in.Series[u].Visits[f.vis[j]]
	point := Point{T: f.t[j], Level: v.Readings[f.idx[j]].Level, Analyzer: int(f.an[j]), Period: int(f.per[j]), Made: true}
	one := p.onDay(u, &b, &point)
	p.reading(&one, &b, &point)
	if !(one.readingVar > 0) {
		return h, false
	}
	return heldOut{(f.y[j] + v.TargetStep - one.readingMean) / math.Sqrt(one.readingVar), math.Min(one.moved/one.readingVar, 1)}, true
}

// kinds is how many kinds of move there are.
func (m moves) kinds() int {
	if m.rare == 0 {
		return 1
	}
	return 2
}

// spread are the states of one conditioning state: one normal distribution, or one for each
// kind of move.
func (m moves) spread(to Mixture, weight, mean, variance, moved float64) Mixture {
	if m.rare == 0 {
		return append(to, Normal{weight, mean, math.Sqrt(variance)})
	}
	return append(to, Normal{weight * (1 - m.rare), mean, math.Sqrt(variance - moved*(1-m.calm))},
		Normal{weight * m.rare, mean, math.Sqrt(variance + moved*(m.wide-1))})
}
