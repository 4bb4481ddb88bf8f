package drift

import (
	"context"
	"math"
	"slices"

	"github.com/sourcegraph/conc"
)

// Figures of the removal of contradicted readings.
const (
	removeLimit  = 5 // |t| over its robust scale at fixed ratios
	removePasses = 8
	robustScale  = 0.6745 // median |t| of a standard normal
)

// Action is what became of a contradicted reading.
type Action uint8

// Actions.
const (
	Cut     Action = iota // the segment ends before the reading; nothing is removed
	Removed               // readings on both sides contradict it: they are compared directly
)

// Unconfirmed is a change, or a reading, that the others of its segment
// contradict. Most are real jumps: it is never called an error.
type Unconfirmed struct {
	Unit                       int
	Action                     Action
	Visit, Reading             int // of the reading removed, or the first after the cut
	BeforeVisit, BeforeReading int // the reading before it in the segment
	AfterVisit, AfterReading   int // the one after a removed reading; -1 of a cut
	T                          float64
	Pass                       int // in which it was found, from 0
}

// suspect is the worst of one segment in one pass.
type suspect struct {
	unit, reading, prev, next int
	action                    Action
	t                         float64
}

// Deletion statistics without refitting: with a = P r the estimated shift of increment
// k is a_k/P[k,k], its variance sigma^2/P[k,k], so t_k = a_k/(sigma sqrt(P[k,k])); a
// shift of the reading between two increments moves them by +1 and -1 (Cook and
// Weisberg, Residuals and Influence in Regression, 1982, chapter 2, from memory, here
// with correlated errors). The diagonals of P come from those of R^-1,
// which a tridiagonal R gives by one recursion backwards. TestDeletionAgainstExplicitMatrices
// compares them with inverses formed in full.

// deletion computes deletion statistics of a unit's readings and increments
// from P and a = P r.
type deletion struct {
	*kernel
	sub, l    []float64 // factor of R
	a         []float64 // P r
	rinvh     []float64 // R^-1 h
	diag, off []float64 // P[k,k], P[k,k-1]
	worst     []suspect
	readingTs []float64
}

// run fills a, diag and off for unit u: the diagonals of R^-1 by back
// recursion, less the slope's rank-one part.
func (d *deletion) run(fit *Fit, u int) {
	d.gather(u)
	n := len(d.diffs)
	for _, s := range []*[]float64{&d.sub, &d.l, &d.a, &d.diag, &d.off, &d.rinvh} {
		*s = append((*s)[:0], make([]float64, n)...)
	}
	last := 1.0
	for k := range d.diffs {
		df := &d.diffs[k]
		d.sub[k] = df.off / last
		last = math.Sqrt(df.diag - d.sub[k]*d.sub[k])
		d.l[k] = last
		d.a[k], d.rinvh[k] = d.rest(fit, df), df.h
	}
	d.solveR(d.a)
	d.solveR(d.rinvh)
	next, sub := 0.0, 0.0
	hRh, hRr := 0.0, 0.0
	for k := n - 1; k >= 0; k-- {
		ratio := sub / d.l[k]
		if k+1 < n {
			d.off[k+1] = -ratio * next
		}
		next = 1/(d.l[k]*d.l[k]) + ratio*ratio*next
		d.diag[k], sub = next, d.sub[k]
		hRh += d.diffs[k].h * d.rinvh[k]
		hRr += d.diffs[k].h * d.a[k]
	}
	tau2 := d.th.Tau * d.th.Tau
	c := tau2 / (1 + tau2*hRh)
	for k := range d.diffs {
		d.a[k] -= c * d.rinvh[k] * hRr
		d.diag[k] -= c * d.rinvh[k] * d.rinvh[k]
		if k > 0 {
			d.off[k] -= c * d.rinvh[k] * d.rinvh[k-1]
		}
	}
}

// rest is d - X beta - Z b of one difference.
func (d *deletion) rest(fit *Fit, df *diff) float64 { return fit.rest(df.i, df.j) }

// solveR replaces x by R^-1 x.
func (d *deletion) solveR(x []float64) {
	for k := range x {
		if k > 0 {
			x[k] -= d.sub[k] * x[k-1]
		}
		x[k] /= d.l[k]
	}
	for k := len(x) - 1; k >= 0; k-- {
		if k+1 < len(x) {
			x[k] -= d.sub[k+1] * x[k+1]
		}
		x[k] /= d.l[k]
	}
}

// collect appends the worst of each segment of unit u, and every reading's |t|.
// The t of an end reading is that of its increment.
func (d *deletion) collect(fit *Fit, u int) {
	d.run(fit, u)
	n := len(d.diffs)
	for first := 0; first < n; {
		end := first + 1
		for end < n && d.diffs[end].off != 0 {
			end++
		}
		d.segment(fit.Sigma, u, first, end)
		first = end
	}
}

// segment compares the largest reading-t of an interior reading with the
// largest increment-t of the differences first..end-1.
func (d *deletion) segment(sigma float64, u, first, end int) {
	var cut, gone suspect
	for k := first; k < end; k++ {
		df := &d.diffs[k]
		t := math.Abs(d.a[k]) / (sigma * math.Sqrt(d.diag[k]))
		if t > cut.t {
			cut = suspect{u, int(df.j), int(df.i), -1, Cut, t}
		}
		if k == first || k+1 == end {
			d.readingTs = append(d.readingTs, t)
			if k == first && k+1 == end {
				d.readingTs = append(d.readingTs, t)
			}
		}
		if k+1 == end {
			continue
		}
		t = math.Abs(d.a[k]-d.a[k+1]) / (sigma * math.Sqrt(d.diag[k]+d.diag[k+1]-2*d.off[k+1]))
		d.readingTs = append(d.readingTs, t)
		if t > gone.t {
			gone = suspect{u, int(df.j), int(df.i), int(d.diffs[k+1].j), Removed, t}
		}
	}
	if gone.t > cut.t {
		cut = gone
	}
	d.worst = append(d.worst, cut)
}

// removalPass is one pass over a fleet for what its segments contradict.
type removalPass struct {
	worst  []suspect // of each segment, in order of units
	scale  float64   // median |t| of all readings over that of a standard normal
	number int       // from 0
}

// newRemovalPass runs over the fleet of a fit.
func newRemovalPass(ctx context.Context, fit *Fit, workers int) (removalPass, error) {
	f := fit.fleet
	parts := make([]deletion, shards)
	eachShard(workers, func(s int) {
		d := &parts[s]
		d.kernel = newKernel(f, fit.Theta)
		n := len(f.in.Series)
		for u := s * n / shards; u < (s+1)*n/shards && ctx.Err() == nil; u++ {
			d.collect(fit, u)
		}
		d.kernel = nil
	})
	if err := ctx.Err(); err != nil {
		return removalPass{}, err
	}
	var worst []suspect
	var ts []float64
	for s := range parts {
		worst, ts = append(worst, parts[s].worst...), append(ts, parts[s].readingTs...)
	}
	if len(ts) == 0 {
		return removalPass{}, nil
	}
	slices.Sort(ts)
	return removalPass{worst: worst, scale: (ts[(len(ts)-1)/2] + ts[len(ts)/2]) / 2 / robustScale}, nil
}

// eachShard runs do for every shard with a number of workers. A panic in one comes
// out of eachShard.
func eachShard(workers int, do func(s int)) {
	var all conc.WaitGroup
	next := make(chan int, shards)
	for s := range shards {
		next <- s
	}
	close(next)
	for range min(max(workers, 1), shards) {
		all.Go(func() {
			for s := range next {
				do(s)
			}
		})
	}
	all.Wait()
}

// The limit is in units of the median |t|, not of the fit's sigma: gross errors inflate
// sigma and would hide behind it (masking); the median is moved by half of the readings
// at least. One action a segment and pass, because the worst reading drags its
// neighbours' residuals with it (swamping), and they may be sound once it is gone.

// removed returns the fleet less the suspects with a |t| beyond the limit, and the list
// of what was removed or cut, its t in units of the scale.
func (p removalPass) removed(f *Fleet, limit float64) (*Fleet, []Unconfirmed) {
	var list []Unconfirmed
	out := *f
	for _, s := range p.worst {
		if !(s.t > limit) {
			continue
		}
		if list == nil {
			out.gone, out.cut = slices.Clone(f.gone), slices.Clone(f.cut)
		}
		u := Unconfirmed{Unit: s.unit, Action: s.action, T: s.t / p.scale, Pass: p.number, AfterVisit: -1, AfterReading: -1}
		u.Visit, u.Reading = int(f.vis[s.reading]), int(f.idx[s.reading])
		u.BeforeVisit, u.BeforeReading = int(f.vis[s.prev]), int(f.idx[s.prev])
		if s.action == Removed {
			out.gone[s.reading] = true
			u.AfterVisit, u.AfterReading = int(f.vis[s.next]), int(f.idx[s.next])
		} else {
			out.cut[s.reading] = true
		}
		list = append(list, u)
	}
	if list == nil {
		return f, nil
	}
	out.refresh()
	return &out, list
}

// cleanOnce is one pass with a fixed limit on |t|, for rounds of estimation: it takes a
// fit whose theta was estimated on its fleet.
func cleanOnce(ctx context.Context, fit *Fit, limit float64, workers int) (*Fleet, []Unconfirmed, error) {
	found, err := newRemovalPass(ctx, fit, workers)
	if err != nil {
		return fit.fleet, nil, err
	}
	found.scale = 1
	next, list := found.removed(fit.fleet, limit)
	return next, list, nil
}
