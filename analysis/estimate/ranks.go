package estimate

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"fluedrift/model/drift"
)

// Rank is where a unit stands among some when they are put in order of how far
// they truly are outside their action bands today, at their worse fire: the
// middle and the 90 % interval over joint draws. 1 is the furthest out; 0 where
// the unit has no band.
type Rank struct {
	Low, Middle, High int
	// Ahead is the probability that it stands further out than the next unit
	// with a rank, in the order the units were given; NaN for the last.
	Ahead float64
}

// common and unit part the random numbers of the draws.
const (
	commonStream = 1
	unitStream   = 2
)

// draws makes the draws that all units of a fit share; nil where none are asked
// for.
func (b *builder) draws(f *FireFit) *drift.Draws {
	if b.rules.Draws <= 0 {
		return nil
	}
	if b.excess == nil {
		b.excess = make([][]float64, len(b.histories))
	}
	return f.Fit.Draws(b.rules.Draws, rand.New(rand.NewPCG(b.rules.Seed, commonStream+uint64(len(f.Fire))<<8)).NormFloat64)
}

// draw adds a unit's draws at one fire: points beyond the band, the larger of
// the fires.
func (b *builder) draw(f *FireFit, k int, o *drift.Outlook, today drift.Point, d *drift.Draws) {
	if d == nil || math.IsNaN(today.Lo) && math.IsNaN(today.Hi) || f.units[k].fuelInDoubt {
		return
	}
	at := f.index[k]
	own := rand.New(rand.NewPCG(b.rules.Seed^uint64(at)<<20, unitStream+uint64(len(f.Fire))<<8))
	y := make([]float64, b.rules.Draws)
	o.Draw(&today, d, own.NormFloat64, y)
	if b.excess[at] == nil {
		b.excess[at] = slices.Repeat([]float64{math.Inf(-1)}, len(y))
	}
	for s, v := range y {
		over := math.Inf(-1)
		if !math.IsNaN(today.Hi) {
			over = v - today.Hi
		}
		if !math.IsNaN(today.Lo) {
			over = math.Max(over, today.Lo-v)
		}
		b.excess[at][s] = math.Max(b.excess[at][s], over)
	}
}

// RanksAmong puts some units in order once a draw and takes each unit's
// quantiles: rank[k] is that of the history units[k], in whose order Ahead is
// told. It holds a number a unit and draw; nil where no draws were asked for.
func (f *Fleet) RanksAmong(units []int) []Rank {
	if f.b == nil || f.b.excess == nil {
		return nil
	}
	return f.b.ranksAmong(units)
}

func (b *builder) ranksAmong(units []int) []Rank {
	var order []int // those with draws, by their number in units
	for k, i := range units {
		if b.excess[i] != nil {
			order = append(order, k)
		}
	}
	known := slices.Clone(order)
	places := make([][]int32, len(units))
	for s := range b.rules.Draws {
		slices.SortFunc(order, func(k, l int) int {
			return cmp.Or(cmp.Compare(b.excess[units[l]][s], b.excess[units[k]][s]), k-l)
		})
		for place, k := range order {
			places[k] = append(places[k], int32(place+1))
		}
	}
	out := make([]Rank, len(units))
	for n, k := range known {
		ahead := math.NaN()
		if n+1 < len(known) {
			ahead = aheadOf(places[k], places[known[n+1]])
		}
		out[k] = Rank{Ahead: ahead}
	}
	for _, k := range known {
		p := places[k]
		slices.Sort(p)
		at := func(share float64) int { return int(p[min(len(p)-1, int(share*float64(len(p))))]) }
		out[k].Low, out[k].Middle, out[k].High = at(0.05), at(0.5), at(0.95)
	}
	return out
}

// aheadOf is the share of draws in which the first stands before the second.
func aheadOf(first, second []int32) float64 {
	n := 0
	for s := range first {
		if first[s] < second[s] {
			n++
		}
	}
	return float64(n) / float64(len(first))
}
