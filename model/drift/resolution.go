package drift

import "math"

// Resolution is the step a source's CO2 values are shown in.
type Resolution struct {
	Step  float64 // points; 0: finer than 0.2
	N     int     // values looked at
	Share float64 // of them on the step's grid
	// CoefficientsUsable is false at steps of half a point: units may still be
	// put in order, but the age effect is biased.
	CoefficientsUsable bool
}

// Figures of the detection.
const (
	gridShare  = 0.95
	gridValues = 40 // fewest values; by chance half of values to 0.1 are on a grid of 0.2
)

// DetectResolution finds the coarsest grid of 0.5 or 0.2 points that carries 95 %
// of a source's recorded values (not deviations).
func DetectResolution(values []float64) Resolution {
	out := Resolution{CoefficientsUsable: true}
	for _, v := range values {
		if !math.IsNaN(v) {
			out.N++
		}
	}
	if out.N < gridValues {
		return out
	}
	for _, step := range []float64{0.5, 0.2} {
		on := 0
		for _, v := range values {
			if k := v / step; math.Abs(k-math.Round(k)) < 1e-6 {
				on++
			}
		}
		out.Share = float64(on) / float64(out.N)
		if out.Share >= gridShare {
			out.Step, out.CoefficientsUsable = step, step < 0.5
			return out
		}
	}
	return out
}
