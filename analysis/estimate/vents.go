package estimate

import (
	"fmt"
	"math"
	"slices"

	"fluedrift/model/judge"
)

// Vents says how the recorded vent lengths are taken.
type Vents struct {
	Known     int          // units with a length
	Suspected []TypedVent  // lengths that look typed in, treated as missing
	Spread    VentSpread   // of the covariate between units
	Error     *VentCorrect // where an error of the records was declared
}

// TypedVent is a length that so many units share that it looks like a figure put
// in where nobody measured.
type TypedVent struct {
	LengthM float64
	Units   int
}

// VentSpread is the middle and the standard deviation of the vent covariate.
type VentSpread struct{ Mean, SD float64 }

// VentCorrect is the regression calibration of lengths recorded with a declared
// error: the expected true share of the longest run, given the recorded one r, is
// exp(Mean + Rho (log r - Mean) + Rho ErrorSD^2/2).
type VentCorrect struct{ ErrorSD, Mean, Rho float64 }

// Figures of the suspicion: a length of more than a tenth of the units, and of
// more than three times as many as any length near it.
const (
	typedShare  = 0.1
	typedTimes  = 3
	minVents    = 50 // units with a length, from which suspicion is raised
	neighbours  = 2  // recorded lengths looked at on either side
	millimetres = 1000
)

// lookAtVents looks for typed lengths and takes the spread of the rest.
func (b *builder) lookAtVents() Vents {
	var v Vents
	counts := map[int]int{}
	for _, h := range b.histories {
		if r := runNow(h); r != nil && r.LengthM > 0 {
			counts[int(math.Round(r.LengthM*millimetres))]++
			v.Known++
		}
	}
	if b.rules.does(SuspectedVents) && v.Known >= minVents {
		v.Suspected = suspectedVents(counts, v.Known)
	}
	b.vents = v
	var logs []float64
	for _, h := range b.histories {
		if r := runNow(h); r != nil && r.LengthM > 0 && !v.typed(r.LengthM) && len(h.Targets) > 0 && h.Targets[0].Target.LongestRunM > 0 {
			logs = append(logs, math.Log(r.LengthM/h.Targets[0].Target.LongestRunM))
		}
	}
	if se := b.rules.VentErrorSD; se > 0 && len(logs) > 2 {
		mean, variance := moments(logs)
		v.Error = &VentCorrect{ErrorSD: se, Mean: mean, Rho: math.Max(0, variance-se*se) / variance}
		b.vents = v
	}
	var z []float64
	for _, h := range b.histories {
		if one := b.ventNow(h); !math.IsNaN(one) {
			z = append(z, one)
		}
	}
	v.Spread = VentSpread{SD: 1}
	if len(z) > 2 {
		mean, variance := moments(z)
		v.Spread.Mean = mean
		if variance > 1e-12 {
			v.Spread.SD = math.Sqrt(variance)
		}
	}
	return v
}

// suspectedVents compares each length's count with those of its neighbours.
func suspectedVents(counts map[int]int, known int) (out []TypedVent) {
	lengths := make([]int, 0, len(counts))
	for l := range counts {
		lengths = append(lengths, l)
	}
	slices.Sort(lengths)
	for i, l := range lengths {
		n := counts[l]
		if float64(n) <= typedShare*float64(known) {
			continue
		}
		most := 0
		for k := max(0, i-neighbours); k <= min(len(lengths)-1, i+neighbours); k++ {
			if k != i {
				most = max(most, counts[lengths[k]])
			}
		}
		if n > typedTimes*most {
			out = append(out, TypedVent{LengthM: float64(l) / millimetres, Units: n})
		}
	}
	return out
}

// moments returns the mean and the variance of two values or more.
func moments(x []float64) (mean, variance float64) {
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		variance += (v - mean) * (v - mean) / float64(len(x)-1)
	}
	return mean, variance
}

// typed says whether a length is suspected.
func (v *Vents) typed(lengthM float64) bool {
	return slices.ContainsFunc(v.Suspected, func(t TypedVent) bool { return math.Abs(t.LengthM-lengthM) < 1.0/millimetres })
}

// length is the length to reckon with.
func (v *Vents) length(lengthM, longestM float64) float64 {
	switch {
	case v.typed(lengthM):
		return math.NaN()
	case v.Error == nil || !(lengthM > 0):
		return lengthM
	}
	e := v.Error
	return longestM * math.Exp(e.Mean+e.Rho*(math.Log(lengthM/longestM)-e.Mean)+e.Rho*e.ErrorSD*e.ErrorSD/2)
}

// vent is the vent covariate of a run on the model line of a target: straight
// length plus the elbows' lengths, over the longest run the line allows. NaN
// where length or limit is not known; an elbow count that is not known is taken
// as none only where the length is known to include it, so it is NaN as well.
func (b *builder) vent(v *judge.VentRun, longestM float64) float64 {
	if v == nil || !v.Known || v.Elbows90 < 0 || !(longestM > 0) {
		return math.NaN()
	}
	return (b.vents.length(v.LengthM, longestM) + b.rules.Elbow90M*float64(v.Elbows90) + b.rules.Elbow45M*float64(max(v.Elbows45, 0))) / longestM
}

// runNow is the vent run in force on the as-of day, nil without one.
func runNow(h *judge.History) *judge.VentRun {
	if len(h.VentRuns) == 0 {
		return nil
	}
	return &h.VentRuns[len(h.VentRuns)-1]
}

// ventNow is the covariate of the run in force on the as-of day.
func (b *builder) ventNow(h *judge.History) float64 {
	if len(h.Targets) == 0 {
		return math.NaN()
	}
	return b.vent(runNow(h), h.Targets[0].Target.LongestRunM)
}

// assumes says what the vent coefficients take for granted.
func (v *Vents) assumes() string {
	if v.Error == nil {
		return "recorded lengths taken as exact"
	}
	return fmt.Sprintf("lengths taken as recorded with an error of %.0f %%", 100*v.Error.ErrorSD)
}

func (v *Vents) notes() (out []string) {
	for _, t := range v.Suspected {
		out = append(out, fmt.Sprintf("vent length %.2f m stands for %d of %d units: suspected default, treated as missing", t.LengthM, t.Units, v.Known))
	}
	if v.Error != nil {
		out = append(out, fmt.Sprintf("vent effects: %s (%.0f %% of the spread between units is true)", v.assumes(), 100*v.Error.Rho))
	}
	return out
}
