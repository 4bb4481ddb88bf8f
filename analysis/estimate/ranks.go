package estimate

import (
	"math"
	"math/rand/v2"
	"slices"

	"fluedrift/model/drift"
)

// Rank is where a unit stands among all when they are put in order of how far
// they truly are outside their action bands today, at their worse fire: the
// middle and the 90 % interval over joint draws. 1 is the furthest out; 0 where
// the unit has no band.
type Rank struct{ Low, Middle, High int }

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

// ranks puts all units in order once a draw and takes each unit's quantiles. It
// holds a number a unit and draw.
func (b *builder) ranks() []Rank {
	if b.excess == nil {
		return nil
	}
	var units []int
	for i, y := range b.excess {
		if y != nil {
			units = append(units, i)
		}
	}
	order := slices.Clone(units)
	places := make([][]int, len(b.excess))
	for s := range b.rules.Draws {
		slices.SortFunc(order, func(i, j int) int {
			switch a, z := b.excess[i][s], b.excess[j][s]; {
			case a > z:
				return -1
			case a < z:
				return 1
			}
			return i - j
		})
		for place, i := range order {
			places[i] = append(places[i], place+1)
		}
	}
	out := make([]Rank, len(b.excess))
	for _, i := range units {
		p := places[i]
		slices.Sort(p)
		at := func(share float64) int { return p[min(len(p)-1, int(share*float64(len(p))))] }
		out[i] = Rank{Low: at(0.05), Middle: at(0.5), High: at(0.95)}
	}
	return out
}
