package drift

import (
	"cmp"
	"slices"
)

// sample returns the fleet of n units drawn by a seed, the whole fleet where it
// has no more. Removed readings and cuts stay as they are.
func (f *Fleet) sample(n int, seed uint64) *Fleet {
	if n <= 0 || len(f.in.Series) <= n {
		return f
	}
	type lot struct {
		draw uint64
		unit int
	}
	all := make([]lot, len(f.in.Series))
	for u := range all {
		all[u] = lot{scramble(seed ^ scramble(uint64(u)+1)), u}
	}
	slices.SortFunc(all, func(a, b lot) int { return cmp.Or(cmp.Compare(a.draw, b.draw), cmp.Compare(a.unit, b.unit)) })
	units := make([]int, n)
	for k := range units {
		units[k] = all[k].unit
	}
	slices.Sort(units)
	return f.subset(units)
}

// few returns the fleet of at least n units of as few blocks of analyzers as a draw
// of blocks gives: an evaluation costs what its blocks cost. It is what a search
// begins on; a sample of all blocks is fairer.
func (f *Fleet) few(n int, seed uint64) *Fleet {
	members := make([][]int, len(f.layout.blocks))
	for u := range f.in.Series {
		if cols := f.rows.zcols[f.rows.zfirst[u]:f.rows.zfirst[u+1]]; len(cols) > 0 {
			b := f.layout.of[cols[0]]
			members[b] = append(members[b], u)
		}
	}
	slices.SortFunc(members, func(a, b []int) int {
		draw := func(units []int) uint64 {
			if len(units) == 0 {
				return 0
			}
			return scramble(seed ^ scramble(uint64(units[0])+1))
		}
		return cmp.Compare(draw(a), draw(b))
	})
	var units []int
	for _, m := range members {
		if units = append(units, m...); len(units) >= n && len(units) < 2*n {
			slices.Sort(units)
			return f.subset(units)
		}
	}
	return f.sample(n, seed)
}

// scramble is the finalizer of splitmix64 (Steele, Lea and Flood 2014, from
// memory): a bijection that leaves no order.
func scramble(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// subset copies some units' readings into a fleet of their own, with the scales,
// imputations and shares of the whole.
func (f *Fleet) subset(units []int) *Fleet {
	out := *f
	out.in.Series = make([]Series, 0, len(units))
	out.start = []int32{0}
	out.t, out.y, out.w, out.set, out.f = nil, nil, nil, nil, nil
	out.an, out.per, out.seg, out.vis, out.idx = nil, nil, nil, nil, nil
	out.gone, out.cut = nil, nil
	for _, u := range units {
		a, z := f.start[u], f.start[u+1]
		out.in.Series = append(out.in.Series, f.in.Series[u])
		out.t, out.y, out.w = append(out.t, f.t[a:z]...), append(out.y, f.y[a:z]...), append(out.w, f.w[a:z]...)
		out.set, out.f = append(out.set, f.set[a:z]...), append(out.f, f.f[int(a)*f.stride:int(z)*f.stride]...)
		out.an, out.per, out.seg = append(out.an, f.an[a:z]...), append(out.per, f.per[a:z]...), append(out.seg, f.seg[a:z]...)
		out.vis, out.idx = append(out.vis, f.vis[a:z]...), append(out.idx, f.idx[a:z]...)
		out.gone, out.cut = append(out.gone, f.gone[a:z]...), append(out.cut, f.cut[a:z]...)
		out.start = append(out.start, int32(len(out.t)))
	}
	out.refresh()
	return &out
}
