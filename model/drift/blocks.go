package drift

import (
	"slices"
	"sync/atomic"

	"github.com/sourcegraph/conc"
)

// layout parts the analyzer columns into blocks that no unit joins: the matrix of
// the biases is zero between them, and is kept and factored block by block. Within a
// block the factor keeps what elimination in a good order fills (order.go): crews that
// hardly meet make a large block of little more than their small ones.
type layout struct {
	blocks []block
	of     []int32 // block of a column, -1 where no difference shows it
	place  []int32 // its place in the block, in the order of elimination
	size   int     // numbers in all blocks
}

// block is some columns in the order of elimination, and the upper triangle of their
// factor by rows: those of row i are off+start[i] to off+start[i+1], the diagonal first.
// From row full on it is a full triangle, and is worked on as one.
type block struct {
	off   int
	cols  []int32
	start []int32
	to    []int32 // places of the numbers of all rows
	full  int
}

// newLayout joins the columns that some unit's differences show, by union of sets
// with path halving: two columns are in one block if a chain of units compares them.
// Blocks are also the components of what can be known: a difference of two biases is
// estimable within a block, and between blocks nothing but the prior speaks of it.
func newLayout(f *Fleet) layout {
	q := f.in.Analyzers + f.in.Periods
	sets := newDisjoint(q)
	eachMeeting(f, sets.join)
	l := layout{of: make([]int32, q), place: make([]int32, q)}
	at := map[int32]int32{}
	for a := range int32(q) {
		l.of[a] = -1
		if !sets.seen[a] {
			continue
		}
		r := sets.root(a)
		b, ok := at[r]
		if !ok {
			b = int32(len(l.blocks))
			at[r] = b
			l.blocks = append(l.blocks, block{})
		}
		l.of[a], l.place[a] = b, int32(len(l.blocks[b].cols))
		l.blocks[b].cols = append(l.blocks[b].cols, a)
	}
	l.arrange(f)
	return l
}

// arrange lays out the biases that differences and certificates show.
func arrange(f *Fleet) (layout, pairs) {
	l := newLayout(f)
	return l, newPairs(f.rows, &l)
}

// eachMeeting visits the columns of each unit with differences to other instruments, and
// those of each certificate.
func eachMeeting(f *Fleet, visit func(cols []int32)) {
	for u := range f.in.Series {
		if cols := f.rows.zcols[f.rows.zfirst[u]:f.rows.zfirst[u+1]]; len(cols) > 0 {
			visit(cols)
		}
	}
	f.certificates.each(func(_ int, c *Certificate) { visit(c.columns(f.in.Analyzers)) })
}

// arrange finds the order of elimination of every block, and what its factor holds.
func (l *layout) arrange(f *Fleet) {
	all := make([]*meets, len(l.blocks))
	for b := range l.blocks {
		all[b] = newMeets(len(l.blocks[b].cols))
	}
	var local []int32
	eachMeeting(f, func(cols []int32) {
		local = local[:0]
		for _, c := range cols {
			local = append(local, l.place[c])
		}
		all[l.of[cols[0]]].join(local)
	})
	for b := range l.blocks {
		blk := &l.blocks[b]
		order, rows, full := all[b].eliminate()
		all[b] = nil
		cols, place := make([]int32, len(order)), make([]int32, len(order))
		for at, i := range order {
			place[i], cols[at] = int32(at), blk.cols[i]
			l.place[cols[at]] = int32(at)
		}
		blk.off, blk.cols, blk.start, blk.full = l.size, cols, make([]int32, 1, len(order)+1), full
		for at, row := range rows {
			blk.to = append(blk.to, int32(at))
			from := len(blk.to)
			for _, i := range row {
				blk.to = append(blk.to, place[i])
			}
			slices.Sort(blk.to[from:])
			blk.start = append(blk.start, int32(len(blk.to)))
		}
		l.size += len(blk.to)
	}
}

// pairs say where the products of each unit's columns are kept: every evaluation adds
// them.
type pairs struct {
	at    []int32 // a lower triangle a unit, in the order of its columns
	first []int   // where a unit's begin
}

// newPairs looks them up: each column's row of the factor is read along with those of
// the unit's that come after it.
func newPairs(rows *differenceRows, l *layout) pairs {
	units := len(rows.zfirst) - 1
	out := pairs{first: make([]int, 1, units+1)}
	var order []int
	for u := range units {
		cols := rows.zcols[rows.zfirst[u]:rows.zfirst[u+1]]
		order = order[:0]
		for a := range cols {
			order = append(order, a)
			for k := a; k > 0 && l.place[cols[order[k]]] < l.place[cols[order[k-1]]]; k-- {
				order[k], order[k-1] = order[k-1], order[k]
			}
		}
		n := len(cols)
		from := len(out.at)
		out.at = append(out.at, make([]int32, n*(n+1)/2)...)
		for i, a := range order {
			blk := &l.blocks[l.of[cols[a]]]
			at, k := blk.start[l.place[cols[a]]], 0
			row := blk.to[at:blk.start[l.place[cols[a]]+1]]
			for _, b := range order[i:] {
				k = seek(row, k, l.place[cols[b]])
				x, y := max(a, b), min(a, b)
				out.at[from+x*(x+1)/2+y] = int32(blk.off) + at + int32(k)
			}
		}
		out.first = append(out.first, len(out.at))
	}
	return out
}

// seek finds a place in a row from k on, by steps that double: it is there, and mostly near.
func seek(row []int32, k int, place int32) int {
	for step := 1; row[k] != place; {
		if next := k + step; next < len(row) && row[next] <= place {
			k, step = next, 2*step
			continue
		}
		step = 1
	}
	return k
}

// of are those of a unit.
func (p *pairs) of(u int) []int32 { return p.at[p.first[u]:p.first[u+1]] }

// at is where the product of two columns of one block is kept, -1 where the factor holds
// none of them.
func (l *layout) at(a, b int32) int {
	blk := &l.blocks[l.of[a]]
	x, y := l.place[a], l.place[b]
	if x > y {
		x, y = y, x
	}
	row := blk.to[blk.start[x]:blk.start[x+1]]
	k, ok := slices.BinarySearch(row, y)
	if !ok {
		return -1
	}
	return blk.off + int(blk.start[x]) + k
}

// each does something for every block with a number of workers, and reports
// whether it went well for all.
func (l *layout) each(workers int, do func(b int) bool) bool {
	if l.size < worthSharing {
		workers = 1
	}
	var next, failed atomic.Int32
	var all conc.WaitGroup
	for range min(max(workers, 1), len(l.blocks)) {
		all.Go(func() {
			for b := int(next.Add(1)) - 1; b < len(l.blocks); b = int(next.Add(1)) - 1 {
				if !do(b) {
					failed.Add(1)
				}
			}
		})
	}
	all.Wait()
	return failed.Load() == 0
}

// worthSharing is how many numbers in blocks are worth a second worker.
const worthSharing = 1 << 14

// disjoint are sets of columns.
type disjoint struct {
	parent []int32
	seen   []bool
}

func newDisjoint(n int) *disjoint {
	j := &disjoint{make([]int32, n), make([]bool, n)}
	for a := range j.parent {
		j.parent[a] = int32(a)
	}
	return j
}

func (j *disjoint) root(a int32) int32 {
	for j.parent[a] != a {
		j.parent[a] = j.parent[j.parent[a]]
		a = j.parent[a]
	}
	return a
}

func (j *disjoint) join(cols []int32) {
	for _, c := range cols {
		j.seen[c] = true
		x, y := j.root(cols[0]), j.root(c)
		j.parent[max(x, y)] = min(x, y)
	}
}
