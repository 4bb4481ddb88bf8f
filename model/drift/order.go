package drift

import (
	"math/bits"
	"slices"
)

// The order in which the biases of a block are eliminated. An analyzer meets all periods
// of its time and place, a period few: taken in the order of their columns they would
// fill the factor, taken by the smallest number of columns left to meet (minimum degree;
// George and Liu 1989, SIAM Review 31:1, from memory) a block of a crew keeps a third
// of its square, and what links crews is taken last.

// meets are the columns of a block that some unit, or certificate, shows together: a set
// of bits a column.
type meets struct {
	n, words int
	bits     []uint64
}

func newMeets(n int) *meets {
	words := (n + 63) / 64
	return &meets{n: n, words: words, bits: make([]uint64, n*words)}
}

func (m *meets) row(i int32) []uint64 { return m.bits[int(i)*m.words : (int(i)+1)*m.words] }

// join makes all of some columns meet.
func (m *meets) join(cols []int32) {
	for _, a := range cols {
		row := m.row(a)
		for _, b := range cols {
			row[b/64] |= 1 << (b % 64)
		}
	}
}

// eliminate returns the columns in the order of elimination, and for each those after it
// that its row of the factor holds; from some number on, full, all that are left meet each
// other. The sets are used up.
func (m *meets) eliminate() (order []int32, rows [][]int32, full int) {
	left := make([]int32, m.n)
	degree := make([]int, m.n)
	for i := range left {
		left[i] = int32(i)
		m.row(int32(i))[i/64] &^= 1 << (i % 64)
		degree[i] = m.count(int32(i))
	}
	rows = make([][]int32, 0, m.n)
	for len(left) > 0 {
		best := 0
		for k, i := range left {
			if degree[i] < degree[left[best]] {
				best = k
			}
		}
		if degree[left[best]] == len(left)-1 {
			full = len(order)
			for k, i := range left {
				order, rows = append(order, i), append(rows, slices.Clone(left[k+1:]))
			}
			break
		}
		pivot := left[best]
		left = slices.Delete(left, best, best+1)
		of := m.list(pivot)
		order, rows = append(order, pivot), append(rows, of)
		gone := m.row(pivot)
		for _, i := range of {
			row := m.row(i)
			for w, x := range gone {
				row[w] |= x
			}
			row[i/64] &^= 1 << (i % 64)
			row[pivot/64] &^= 1 << (pivot % 64)
			degree[i] = m.count(i)
		}
	}
	return order, rows, full
}

func (m *meets) count(i int32) (n int) {
	for _, x := range m.row(i) {
		n += bits.OnesCount64(x)
	}
	return n
}

func (m *meets) list(i int32) (out []int32) {
	for w, x := range m.row(i) {
		for ; x != 0; x &= x - 1 {
			out = append(out, int32(w*64+bits.TrailingZeros64(x)))
		}
	}
	return out
}
