package vent

import "math"

// Measure is what a fleet's vents are compared by.
type Measure uint8

// The two measures, never mixed in one column.
const (
	NoMeasure  Measure = iota // not known
	ShareOfFan                // loss over the fan's pressure
	ShareOfRun                // used length over the longest allowed
)

// Candidate is what is known of one unit's vent; NaN for what is not.
type Candidate struct {
	LossPa      Range   // of vent and intake at high fire
	FanPa       float64 // what the model line's fan has for the air and flue path
	UsedM       float64 // equivalent length in use
	LongestRunM float64 // the longest run the model line allows
}

// OfFan returns the middle of the loss over the fan's pressure, NaN where
// either is not known.
func (c Candidate) OfFan() float64 { return share(c.LossPa.Middle(), c.FanPa) }

// OfRun returns the used length over the longest allowed, NaN where either is
// not known.
func (c Candidate) OfRun() float64 { return share(c.UsedM, c.LongestRunM) }

// share returns part over whole; NaN unless the whole is positive and the part
// not negative.
func share(part, whole float64) float64 {
	if !(part >= 0) || !(whole > 0) || math.IsInf(part, 0) {
		return math.NaN()
	}
	return part / whole
}

// Choose returns the one measure a fleet is compared by and its value for each
// unit: the share of the fan's pressure where at least half of the units have
// it, else the share of the longest run where any has it. A unit without the
// chosen one is NaN, whatever else is known of it.
func Choose(fleet []Candidate) (Measure, []float64) {
	ofFan, ofRun := make([]float64, len(fleet)), make([]float64, len(fleet))
	fans, runs := 0, 0
	for i, c := range fleet {
		ofFan[i], ofRun[i] = c.OfFan(), c.OfRun()
		if !math.IsNaN(ofFan[i]) {
			fans++
		}
		if !math.IsNaN(ofRun[i]) {
			runs++
		}
	}
	switch {
	case fans > 0 && 2*fans >= len(fleet):
		return ShareOfFan, ofFan
	case runs > 0:
		return ShareOfRun, ofRun
	}
	return NoMeasure, ofRun
}
