package estimate

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
	"slices"

	"fluedrift/analysis"
	"fluedrift/model/drift"
)

// Rank is where a unit stands among some when they are put in order of what a visit
// today truly avoids, as the key of the list counts it: the middle over joint draws, and
// the interval that leaves out one draw in ten, as many at one end as at the other unless
// the rank in the order the units were given would then lie outside. 1 is the first; 0
// where no forecast says what a visit avoids.
type Rank struct{ Low, Middle, High int }

// The random numbers of the draws: what the units of a fit share, each unit and
// fire, the weather of each area, and what fails at a unit and what its vent is
// where that is not known.
const (
	commonStream = 1 + iota
	unitStream
	weatherStream
	failureStream
	ventStream
)

// ranks are joint draws of what a visit to every unit avoids.
type ranks struct {
	rules   *Config
	keys    [][]float64          // of each history: draws of the key; nil until a fit draws
	weather map[string][]float64 // of each area: draws of the air's departure from what is expected
	units   int
}

// draws makes the draws that all units of a fit share; nil where none are asked
// for.
func (r *ranks) draws(f *FireFit) *drift.Draws {
	if r.rules.Draws <= 0 {
		return nil
	}
	if r.keys == nil {
		r.keys, r.weather = make([][]float64, r.units), map[string][]float64{}
	}
	for _, u := range f.units {
		if area := u.h.Unit.Area; r.weather[area] == nil {
			r.weather[area] = r.normals(stream(weatherStream, area))
		}
	}
	return f.Fit.Draws(r.rules.Draws, rand.New(rand.NewPCG(r.rules.Seed, commonStream+uint64(len(f.Fire))<<8)).NormFloat64)
}

// stream is the number of a stream of random numbers that belongs to a name.
func stream(kind uint64, name string) uint64 {
	h := fnv.New64a()
	h.Write([]byte(name))
	return kind + h.Sum64()<<8
}

// normals are standard normal numbers, one a draw.
func (r *ranks) normals(stream uint64) []float64 {
	normal := rand.New(rand.NewPCG(r.rules.Seed, stream))
	out := make([]float64, r.rules.Draws)
	for s := range out {
		out[s] = normal.NormFloat64()
	}
	return out
}

// draw adds a unit's draws at one fire: of the fires the one counts at which a visit
// avoids more.
func (r *ranks) draw(f *FireFit, k int, l *lookahead, out *analysis.FireForecast, d *drift.Draws) {
	if d == nil || f.units[k].fuelInDoubt || len(out.Harm) == 0 {
		return
	}
	at := f.index[k]
	own := rand.New(rand.NewPCG(r.rules.Seed^uint64(at)<<20, unitStream+uint64(len(f.Fire))<<8))
	y := make([]float64, r.rules.Draws)
	shared := drift.Shared{Level: r.weather[f.units[k].h.Unit.Area]}
	if l.now.Marks&drift.CovariateUnknown != 0 {
		shared.Imputed = r.normals(ventStream + uint64(at)<<8)
	}
	d.Draw(l.o, l.point(0), shared, own.NormFloat64, y)
	r.fail(f, l.o, at, y)
	if r.keys[at] == nil {
		r.keys[at] = slices.Repeat([]float64{math.Inf(-1)}, len(y))
	}
	course := newCourse(l, out, r.rules.Visit)
	for s, v := range y {
		r.keys[at][s] = math.Max(r.keys[at][s], course.key(v, own.NormFloat64()))
	}
}

// fail moves the draws in which a part of the unit has failed since it was last
// read: unseen, it moves all fires at once. No probability on the list counts
// with that; a range of places does.
func (r *ranks) fail(f *FireFit, o *drift.Predictive, at int, y []float64) {
	if o.LastVisit < 0 {
		return
	}
	since := years(r.rules.AsOf) - f.series[o.Unit].Visits[o.LastVisit].T
	failed := 1 - math.Exp(-r.rules.Drift.JumpsPerYear*math.Max(0, since))
	own := rand.New(rand.NewPCG(r.rules.Seed^uint64(at)<<20, failureStream))
	for s := range y {
		if luck, points := own.Float64(), r.rules.Drift.JumpSD*own.NormFloat64(); luck < failed {
			y[s] += points
		}
	}
}

// among puts units in order once a draw.
func (r *ranks) among(units []int) []Rank {
	var known []int // those with draws, by their number in units
	for k, i := range units {
		if r.keys[i] != nil {
			known = append(known, k)
		}
	}
	positions := make([][]int32, len(units))
	for _, k := range known {
		positions[k] = make([]int32, r.rules.Draws)
	}
	drawn := make([]drawnUnit, len(known)) // side by side: most of a sort is waiting for memory
	var by sorter
	for s := range r.rules.Draws {
		for n, k := range known {
			drawn[n] = drawnUnit{r.keys[units[k]][s], int32(k)}
		}
		drawn = by.sort(drawn)
		for position, d := range drawn {
			positions[d.unit][s] = int32(position + 1)
		}
	}
	out := make([]Rank, len(units))
	for n, k := range known {
		p := positions[k]
		slices.Sort(p)
		out[k].Low, out[k].High = interval(p, int32(n+1))
		out[k].Middle = int(p[len(p)/2])
	}
	return out
}

// interval returns the ends of what is left of sorted positions when a tenth of
// them is taken from both ends, in equal parts where the position in the list is
// then held, else more from the far end.
func interval(sorted []int32, listed int32) (low, high int) {
	n := len(sorted)
	out := n / 10
	below, above := out/2, out-out/2
	for ; below > 0 && listed < sorted[below]; below, above = below-1, above+1 {
	}
	for ; above > 0 && listed > sorted[n-1-above]; below, above = below+1, above-1 {
	}
	return int(min(listed, sorted[below])), int(max(listed, sorted[n-1-above]))
}
