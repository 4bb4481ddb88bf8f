// Package vent says what a vent run and a combustion-air run do to the gas in
// them: pressure loss, and one number by which the runs of a fleet can
// be compared.
//
// The steps, in order: a Firing (fuel, input, CO2, temperatures) gives the
// Streams of flue gas and air (stream.go); a Run of Sections gives friction
// (friction.go) and fitting losses (fittings.go) at a stream (loss.go). Apart
// from these stand the atmosphere by altitude (atmosphere.go) and the choice
// of the fleet's covariate (covariate.go).
//
// Loss coefficients of elbows and terminals differ by a factor of five between
// makes, and records do not say which was fitted. So they are ranges from the
// first step to the last; the middle of one is not a measured value. The gas
// is taken at one temperature all along the run.
//
// A size that is not known is NaN, a count that is not known negative; what
// depends on it is NaN. Lengths are m, pressures Pa, temperatures degC.
package vent

import "math"

// Section is a stretch of a run at one diameter.
type Section struct {
	DiameterM          float64
	LengthM            float64 // straight, rise included
	RiseM              float64 // upwards in the direction of flow; negative downwards
	Elbows90, Elbows45 int
	RoughnessM         float64 // of the wall; see Roughness
}

// Run is a vent or combustion-air run, from the appliance to the terminal or,
// for air, from the terminal to the appliance.
type Run struct {
	Sections []Section
	Elbow    string // kind of its elbows, see ElbowK; "" where not recorded
	Terminal string // see TerminalK; "" where not recorded
}

// Range is what a number lies in, both ends included.
type Range struct{ Low, High float64 }

// Middle returns the middle of the range.
func (r Range) Middle() float64 { return (r.Low + r.High) / 2 }

// Add returns the sum of two ranges.
func (r Range) Add(o Range) Range { return Range{r.Low + o.Low, r.High + o.High} }

// times returns the range times a factor that is not negative.
func (r Range) times(factor float64) Range { return Range{r.Low * factor, r.High * factor} }

// exactly returns the range of a known number.
func exactly(v float64) Range { return Range{v, v} }

// count returns a recorded number of elbows, NaN where it is not known.
func count(n int) float64 {
	if n < 0 {
		return math.NaN()
	}
	return float64(n)
}

// roughness lists wall roughness by material, m: values of the usual handbook
// tables, from memory. At the Reynolds numbers of vents they hardly matter.
var roughness = map[string]float64{
	"stainless": 0.045e-3, "galvanized": 0.15e-3, "aluminium": 0.045e-3,
	"polypropylene": 0.0015e-3, "plastic": 0.0015e-3, "masonry": 3e-3,
}

// Roughness returns the wall roughness of a material, m; for a material not in
// the table that of galvanized steel.
func Roughness(material string) float64 {
	if e, ok := roughness[material]; ok {
		return e
	}
	return roughness["galvanized"]
}
