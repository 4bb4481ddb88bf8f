package drift

import "context"

// NoiseRatio is how noisy the readings of one analyzer are beside the fleet's:
// the variance of what the fit takes for their noise over its expectation. 1 is
// like the others; with few readings it says little.
type NoiseRatio struct {
	Ratio    float64
	Readings int // with a neighbour in their segment
}

// NoiseRatios returns the ratio of each analyzer column. Nothing is weighted by
// it: weights by analyzer drive the wandering to nothing.
func (fit *Fit) NoiseRatios(ctx context.Context, workers int) ([]NoiseRatio, error) {
	f := fit.fleet
	type sum struct {
		u2, d float64
		n     int
	}
	parts := make([][]sum, shards)
	eachShard(workers, func(s int) {
		d := &deletion{kernel: newKernel(f, fit.Theta)}
		part := make([]sum, f.in.Analyzers)
		n := len(f.in.Series)
		for u := s * n / shards; u < (s+1)*n/shards && ctx.Err() == nil; u++ {
			d.run(fit, u)
			d.eachReading(func(reading int32, u, variance float64) {
				if a := f.an[reading]; a >= 0 {
					part[a].u2 += u * u
					part[a].d += variance
					part[a].n++
				}
			})
		}
		parts[s] = part
	})
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	out := make([]NoiseRatio, f.in.Analyzers)
	for a := range out {
		var t sum
		for s := range parts {
			t.u2, t.d, t.n = t.u2+parts[s][a].u2, t.d+parts[s][a].d, t.n+parts[s][a].n
		}
		out[a].Readings = t.n
		if t.d > 0 {
			out[a].Ratio = t.u2 / (t.d * fit.Sigma * fit.Sigma)
		}
	}
	return out, nil
}

// eachReading visits the readings of a unit's differences with the noise the
// fit sees in them, u = a(later) - a(earlier), and its variance over sigma^2.
func (d *deletion) eachReading(visit func(reading int32, u, variance float64)) {
	for k := range d.diffs {
		if k == 0 || d.diffs[k].off == 0 {
			visit(d.diffs[k].i, -d.a[k], d.diag[k])
		}
		if k+1 < len(d.diffs) && d.diffs[k+1].off != 0 {
			visit(d.diffs[k].j, d.a[k]-d.a[k+1], d.diag[k]+d.diag[k+1]-2*d.off[k+1])
			continue
		}
		visit(d.diffs[k].j, d.a[k], d.diag[k])
	}
}

// Fleet returns the readings a fit was made of, removed ones and cuts included.
func (fit *Fit) Fleet() *Fleet { return fit.fleet }
