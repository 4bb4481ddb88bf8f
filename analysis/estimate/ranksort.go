package estimate

import (
	"cmp"
	"math"
	"slices"
)

// drawnUnit is a unit in one draw.
type drawnUnit struct {
	key  float64
	unit int32 // its number among those put in order
}

// compare puts the larger key first, else the one given first.
func (d drawnUnit) compare(other drawnUnit) int {
	switch {
	case d.key > other.key:
		return -1
	case d.key < other.key:
		return 1
	}
	return cmp.Or(cmp.Compare(other.key, d.key), int(d.unit-other.unit)) // equal, or no number
}

// bin is the leading part of a key: of two keys the larger never has the larger bin. The
// bits of a positive float64 grow with it, those of a negative one fall.
func (d drawnUnit) bin() uint32 {
	if math.IsNaN(d.key) {
		return math.MaxUint32
	}
	bits := math.Float64bits(d.key + 0) // no negative zero
	if bits>>63 == 0 {
		bits ^= 1<<63 - 1
	}
	return uint32(bits >> 32)
}

// Digits of a bin, of so many bits each.
const digits, digitBits = 3, 11

// fewDrawn is from how many units on counting digits pays: the counts of three digits are
// 6,144 numbers, to be summed for any number of units.
const fewDrawn = 256

// sorter puts drawn units in order, by counts of digits from the lowest up (Knuth, The
// Art of Computer Programming 3, section 5.2.5, from memory), then by comparing what
// stands side by side. It keeps its room from draw to draw.
type sorter struct {
	bins, spareBins []uint32
	spare           []drawnUnit
}

// sort puts units in order; it returns them in its own room or where they were.
func (s *sorter) sort(drawn []drawnUnit) []drawnUnit {
	if len(drawn) < fewDrawn {
		slices.SortFunc(drawn, drawnUnit.compare)
		return drawn
	}
	drawn = s.byBin(drawn)
	for i := 1; i < len(drawn); i++ { // few steps: most neighbours have other bins
		one, k := drawn[i], i
		for ; k > 0 && drawn[k-1].compare(one) > 0; k-- {
			drawn[k] = drawn[k-1]
		}
		drawn[k] = one
	}
	return drawn
}

// byBin sorts by bins, and leaves units of one bin in their order.
func (s *sorter) byBin(drawn []drawnUnit) []drawnUnit {
	n := len(drawn)
	if len(s.spare) < n {
		s.bins, s.spareBins, s.spare = make([]uint32, n), make([]uint32, n), make([]drawnUnit, n)
	}
	var ends [digits][1 << digitBits]int32
	from, bins, to, toBins := drawn, s.bins[:n], s.spare[:n], s.spareBins[:n]
	for i, d := range from {
		bins[i] = d.bin()
		for k := range digits {
			ends[k][digit(bins[i], k)]++
		}
	}
	for k := range digits {
		at, sum := &ends[k], int32(0)
		for v, count := range at {
			at[v], sum = sum, sum+count
		}
		for i, b := range bins {
			v := digit(b, k)
			place := at[v]
			at[v]++
			to[place], toBins[place] = from[i], b
		}
		from, bins, to, toBins = to, toBins, from, bins
	}
	s.bins, s.spareBins, s.spare = bins, toBins, to
	return from
}

// digit k of a bin, the lowest first.
func digit(bin uint32, k int) uint32 { return bin >> (k * digitBits) & (1<<digitBits - 1) }
