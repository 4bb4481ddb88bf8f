package drift

import (
	"cmp"
	"slices"
)

// sampler draws units of a fleet by a seed.
type sampler struct {
	f    *Fleet
	seed uint64
}

// units returns the fleet of n units drawn by the seed, the whole fleet where it
// has no more. Removed readings and cuts stay as they are.
func (s sampler) units(n int) *Fleet {
	f, seed := s.f, s.seed
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

// blocks returns the fleet of at least n units of as few blocks of analyzers as a draw
// of blocks gives: an evaluation costs what its blocks cost. It is what a search
// begins on; a sample of all blocks is fairer.
func (s sampler) blocks(n int) *Fleet {
	f, seed := s.f, s.seed
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
	return s.units(n)
}

// scramble is the finalizer of splitmix64 (Steele, Lea and Flood 2014, from
// memory): a bijection that leaves no order.
func scramble(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}
