package estimate

import (
	"fmt"
	"math"
	"slices"

	"fluedrift/analysis"
	"fluedrift/model/judge"
	"fluedrift/model/vent"
)

// Vents says how the recorded vent lengths are taken.
type Vents struct {
	Known     int          // units with a length
	Suspected []TypedVent  // lengths that look typed in, treated as missing
	Choice    VentChoice   // by what vents are compared
	Spread    VentSpread   // of the chosen measure between units
	Error     *VentCorrect // where an error of the records was declared
}

// TypedVent is a length that so many units share that it looks like a figure put
// in where nobody measured.
type TypedVent struct {
	LengthM float64
	Units   int
}

// VentSpread is the middle and the standard deviation of the chosen measure.
type VentSpread struct{ Mean, SD float64 }

// VentCorrect is the regression calibration of lengths recorded with a declared
// error: the expected true share of the longest run, given the recorded one r, is
// exp(Mean + Rho (log r - Mean) + Rho ErrorSD^2/2). Where vents are compared by
// their loss, which needs no longest run, r is the length itself in m.
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

// newVents looks for typed lengths, chooses by what vents are compared and
// takes the spread of that.
func newVents(histories []*judge.History, rules *Config) (Vents, error) {
	var v Vents
	counts := map[int]int{}
	for _, h := range histories {
		if r := runNow(h); r != nil && r.LengthM > 0 {
			counts[int(math.Round(r.LengthM*millimetres))]++
			v.Known++
		}
	}
	if rules.uses(typedVents) && v.Known >= minVents {
		v.Suspected = suspectedVents(counts, v.Known)
	}
	var err error
	if v.Choice, err = ChooseVents(histories, rules, v.length); err != nil {
		return v, fmt.Errorf("vents: %w", err)
	}
	var logs []float64
	for _, h := range histories {
		if r := runNow(h); r != nil && r.LengthM > 0 && !v.typed(r.LengthM) && len(h.Targets) > 0 {
			if base := v.base(fullRateTarget(h).LongestRunM); base > 0 {
				logs = append(logs, math.Log(r.LengthM/base))
			}
		}
	}
	if se := rules.VentErrorSD; se > 0 && len(logs) > 2 {
		mean, variance := moments(logs)
		v.Error = &VentCorrect{ErrorSD: se, Mean: mean, Rho: math.Max(0, variance-se*se) / variance}
	}
	var z []float64
	for _, h := range histories {
		if one := v.now(h); !math.IsNaN(one) {
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
	return v, nil
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
	e, base := v.Error, v.base(longestM)
	return base * math.Exp(e.Mean+e.Rho*(math.Log(lengthM/base)-e.Mean)+e.Rho*e.ErrorSD*e.ErrorSD/2)
}

// base is the length that an error of the records is reckoned against.
func (v *Vents) base(longestM float64) float64 {
	if v.Choice.Measure == vent.ShareOfFan {
		return 1
	}
	return longestM
}

// measure is the chosen measure of a run of a unit, NaN where it is not known.
func (v *Vents) measure(h *judge.History, run *judge.VentRun) float64 {
	return v.Choice.measure(h, run, v.length)
}

// runNow is the vent run in force on the as-of day, nil without one.
func runNow(h *judge.History) *judge.VentRun {
	if len(h.VentRuns) == 0 {
		return nil
	}
	return &h.VentRuns[len(h.VentRuns)-1]
}

// now is the measure of the run in force on the as-of day.
func (v *Vents) now(h *judge.History) float64 { return v.measure(h, runNow(h)) }

// whole names what one whole of the chosen measure is.
func (v *Vents) whole() string {
	if v.Choice.Measure == vent.ShareOfFan {
		return "fan's whole pressure"
	}
	return "longest run"
}

// column names the column of a class's vent effect.
func (v *Vents) column(class string) string {
	if v.Choice.Measure == vent.ShareOfFan {
		return ventLossWords + classWords(class)
	}
	return ventLengthWords + classWords(class)
}

// coding says what 0 and 1 of the chosen measure are.
func (v *Vents) coding() string {
	return "0 without a vent, 1 at a " + v.whole() + "; 0 at other controls"
}

// source says which records the chosen measure is from.
func (v *Vents) source() string {
	if v.Choice.Measure == vent.ShareOfFan {
		return fromRegister + "vent runs; model lines: fan pressure"
	}
	return fromRegister + "vent runs; model lines: longest run"
}

// effectUnit is the unit of a vent effect whose response is given in a unit.
func (v *Vents) effectUnit(response string) string {
	return response + " per " + v.whole() + ", " + v.assumes()
}

// assumes says what the vent coefficients take for granted.
func (v *Vents) assumes() string {
	if v.Error == nil {
		return "recorded lengths taken as exact"
	}
	return fmt.Sprintf("lengths taken as recorded with an error of %.0f %%", 100*v.Error.ErrorSD)
}

// marks says of a unit with a length on record that its loss is not known where
// vents are compared by that; a length that is missing has a mark of its own.
func (v *Vents) marks(h *judge.History) []analysis.Mark {
	r := runNow(h)
	if v.Choice.Measure != vent.ShareOfFan || r == nil || !(r.LengthM > 0) || !math.IsNaN(v.Choice.measure(h, r, v.length)) {
		return nil
	}
	return []analysis.Mark{{Kind: analysis.MarkVentLossUnknown}}
}

func (v *Vents) notes() (out []Note) {
	if c := &v.Choice; c.Units > 0 {
		out = append(out, VentsCompared{Choice: c})
	}
	for _, t := range v.Suspected {
		out = append(out, SuspectedVent{TypedVent: t, Known: v.Known})
	}
	if v.Error != nil {
		out = append(out, LengthsInError{ErrorSD: v.Error.ErrorSD, Rho: v.Error.Rho})
	}
	return out
}
