package drift

import (
	"context"
	"fmt"
	"math"
	"slices"
)

// What can be asked of a fit beyond its figures: matters for a study more than for a
// night. Each goes over the readings again.

// Variances reports the standard deviations of a fit whose ratios were
// estimated, noise first: standard errors from the curvature of the criterion
// in their logarithms, and what the criterion loses without each part. It takes
// some hundred evaluations: a matter for the study, not for the night.
func (fit *Fit) Variances(ctx context.Context, workers int) ([]Variance, error) {
	o := EvaluateOptions{Workers: workers}
	th := fit.Theta.array()
	out := []Variance{{Part: Noise, SD: fit.Sigma, SE: math.NaN(), Rise: math.NaN()}}
	free := []int{}
	for k := range th {
		out = append(out, Variance{Part: partOf(k), SD: th[k] * fit.Sigma, SE: math.NaN(), Rise: math.NaN(), AtZero: th[k] == 0})
		if th[k] > 0 {
			free = append(free, k)
		}
	}
	about := curvature{fit, free, o}
	se, err := about.logSE(ctx)
	if err != nil {
		return nil, err
	}
	out[0].SE = fit.Sigma * se[0]
	for i, k := range free {
		out[k+1].SE = out[k+1].SD * se[i+1]
		if out[k+1].Rise, err = about.riseWithout(ctx, k); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// ScanSteps looks for a step at each time, for the whole fleet and for each group
// of units (group[u], -1 none), at the price of two passes over the readings. Steps
// whose pull is under two standard deviations are left out. The order of the
// result is that of the groups, the whole fleet first, then of the times.
func (fit *Fit) ScanSteps(ctx context.Context, times []float64, group []int, groups, workers int) ([]StepTest, error) {
	if n := fit.fleet.units(); len(group) != n {
		return nil, fmt.Errorf("%d groups for %d units", len(group), n)
	}
	s, err := evaluation{fit.fleet, fit.Theta, EvaluateOptions{Workers: workers, Tails: fit.tails}}.solve(ctx)
	if err != nil {
		return nil, err
	}
	scan, err := newStepScan(s, times, group, groups)
	if err != nil {
		return nil, err
	}
	var out []StepTest
	for first := WholeFleet; first < groups; first += scan.groups {
		scan.first, scan.groups = first, min(scan.groupsAtOnce(), groups-first)
		if first == WholeFleet {
			scan.groups = 1
		}
		found, err := scan.pass(ctx)
		if err != nil {
			return nil, err
		}
		out = append(out, found...)
	}
	return out, nil
}

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

// Naming returns the fit made again with a bias that another fit has named, fit itself
// where its own readings do not agree. Analyzer and period are columns, as in BiasStep.
func (fit *Fit) Naming(ctx context.Context, analyzer, period int) (*Fit, error) {
	col := analyzer
	if period >= 0 {
		col = fit.fleet.in.Analyzers + period
	}
	o := fit.options
	o.Tails, o.standing = true, append(slices.Clone(o.standing), col)
	again, err := fit.fleet.Evaluate(ctx, fit.Theta, o)
	if err != nil || len(again.Steps) <= len(fit.Steps) {
		return fit, ctx.Err()
	}
	again.shared, again.moves = fit.shared, fit.moves
	again.How, again.Unconfirmed, again.Search, again.Notes = fit.How, fit.Unconfirmed, fit.Search, fit.Notes
	return again, nil
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
