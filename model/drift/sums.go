package drift

import (
	"context"
	"math"
	"sync"
)

// sparseFactor is how many times the analyzer block must exceed the units of a
// shard before the shard keeps its entries as a list: clearing and adding a
// large block 32 times would cost more than the units.
const sparseFactor = 64

// The fleet matrix. Every evaluation of the criterion needs the same sum over units,
//
//	M = sum_u C_u' P_u C_u,   C_u = [Z_u | X_u | d_u],
//
// and nothing else of the readings: its Cholesky factor holds both determinants, the
// coefficients, the biases and the residual sum of squares (Henderson's mixed-model
// equations, Biometrics 31:423, 1975, with sigma profiled out; from memory). So an
// evaluation is one pass over the units and one factorization of a matrix whose size
// does not grow with the fleet's readings.

// sums is the fleet matrix M in blocks (analyzers, coefficients and d), before
// the analyzer scale factors: Z'P Z in the blocks of the layout, Z'P [X d],
// [X d]'P [X d].
type sums struct {
	m      int // p + 1
	zz     []float64
	zx     []float64
	xx     []float64
	logdet float64
	n      int
	failed bool
}

// clear makes all sums zero, for a fleet with as many columns as f.
func (s *sums) clear(f *Fleet, dense bool) {
	s.m = len(f.used) + 1
	zz, zx := 0, 0
	if dense {
		zz, zx = f.layout.size, len(f.layout.of)*s.m
	}
	s.zz, s.zx, s.xx = zeros(s.zz, zz), zeros(s.zx, zx), zeros(s.xx, s.m*s.m)
	s.logdet, s.n, s.failed = 0, 0, false
}

// zeros returns n zeros, in x where it has room.
func zeros(x []float64, n int) []float64 {
	if cap(x) < n {
		return make([]float64, n)
	}
	x = x[:n]
	clear(x)
	return x
}

func addTo(dst, src []float64) {
	for i, x := range src {
		dst[i] += x
	}
}

// entries are numbers to be added at their places.
type entries struct {
	at    []int32
	value []float64
}

func (e *entries) addTo(dst []float64) {
	for i, at := range e.at {
		dst[at] += e.value[i]
	}
}

func (e *entries) reset() { e.at, e.value = e.at[:0], e.value[:0] }

// desk is what one worker sums a shard on. A sparse one lists what it has for the
// two analyzer blocks in the order of the units.
type desk struct {
	sums
	kernel
	sparse bool
	zzs    entries
	zxs    entries
}

func (d *desk) reset(f *Fleet) {
	d.sums.clear(f, !d.sparse)
	d.zzs.reset()
	d.zxs.reset()
}

// addTo adds the shard to the whole.
func (d *desk) addTo(s *sums) {
	if d.sparse {
		d.zzs.addTo(s.zz)
		d.zxs.addTo(s.zx)
	} else {
		addTo(s.zz, d.zz)
		addTo(s.zx, d.zx)
	}
	addTo(s.xx, d.xx)
	s.logdet += d.logdet
	s.n += d.n
	s.failed = s.failed || d.failed
}

// add adds one unit's Gram matrix at its places: zz upper, xx lower triangle.
// A unit touches few columns: only those that change between its own readings, so
// that the cost of a fleet goes with its readings and not with its columns. The
// unit's part of log|V| is log|R| + log(1 + tau^2 h'R^-1 h), the determinant lemma
// for the slope that all its differences share.
func (d *desk) add(u int) {
	k := &d.kernel
	if !k.unit(u) {
		d.failed = true
		return
	}
	if len(k.diffs) == 0 {
		return
	}
	d.n += len(k.diffs)
	d.logdet += k.logR + math.Log(k.det*k.absorb())
	y := d.m - 1
	for a, x := range k.xs {
		to, row := d.xx[int(x)*d.m:], k.g[a*k.c:]
		for b, xb := range k.xs[:a+1] {
			to[xb] += row[b]
		}
	}
	to, row := d.xx[y*d.m:], k.g[k.p*k.c:]
	for b, xb := range k.xs {
		to[xb] += row[b]
	}
	to[y] += row[k.p]
	d.analyzers(u)
}

// analyzers adds the rows of the unit's analyzer columns.
func (d *desk) analyzers(u int) {
	k := &d.kernel
	if len(k.cols) == 0 {
		return
	}
	pairs := k.f.pairs.of(u)
	for la, ga := range k.cols {
		row := k.g[(k.p+2+la)*k.c:]
		zz, at := row[k.p+2:][:la+1], ga*int32(d.m)
		to := pairs[:la+1]
		pairs = pairs[la+1:]
		if !d.sparse {
			zx := d.zx[at : int(at)+d.m]
			for b, x := range k.xs {
				zx[x] += row[b]
			}
			zx[d.m-1] += row[k.p]
			for lb, v := range zz {
				d.zz[to[lb]] += v
			}
			continue
		}
		for b, x := range k.xs {
			d.zxs.at, d.zxs.value = append(d.zxs.at, at+x), append(d.zxs.value, row[b])
		}
		d.zxs.at, d.zxs.value = append(d.zxs.at, at+int32(d.m-1)), append(d.zxs.value, row[k.p])
		d.zzs.at, d.zzs.value = append(d.zzs.at, to...), append(d.zzs.value, zz...)
	}
}

// space is what evaluations need room for, kept from one to the next. It serves
// one evaluation at a time.
type space struct {
	total sums
	mu    sync.Mutex
	desks []*desk
	taken int
}

// desk returns one for a worker.
func (s *space) desk(f *Fleet, th Theta, sparse bool) *desk {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.taken == len(s.desks) {
		s.desks = append(s.desks, &desk{})
	}
	d := s.desks[s.taken]
	s.taken++
	d.kernel.set(f, th)
	d.sparse = sparse
	return d
}

// collect sums the shards in their order: floating-point sums depend on it, and the
// same records have to give the same list on any number of cores. It works with any
// number of workers, into the space. Each worker holds one desk, and adds it when its shard's turn has come.
func (e evaluation) collect(ctx context.Context, room *space) (*sums, error) {
	f := e.f
	room.taken = 0
	room.total.clear(f, true)
	parts, units := parts(f.units()), f.units()
	sparse := f.layout.size+len(room.total.zx) > sparseFactor*(units/parts+1)
	orderedReduce(parts, e.o.Workers, func() (work func(int), add func()) {
		d := room.desk(f, e.th, sparse)
		work = func(shard int) {
			d.reset(f)
			if ctx.Err() != nil {
				return
			}
			for u := shard * units / parts; u < (shard+1)*units/parts; u++ {
				d.add(u)
			}
		}
		return work, func() { d.addTo(&room.total) }
	})
	if room.total.failed {
		return nil, ErrPivot
	}
	return &room.total, ctx.Err()
}
