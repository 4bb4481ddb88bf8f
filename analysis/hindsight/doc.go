// Package hindsight asks how right a list would have been: the fleet is taken
// back to days in its own past, judged, fitted and ordered with what was known
// then, and compared with what the next visits found.
//
// The steps: clip.go cuts what a register knew only later; outcomes.go says what
// the next visit found; look.go makes the cases of one origin; rules.go has the
// rules a planner could use without a model, on the same units and days;
// measures.go and isotonic.go say how right an order and a probability were,
// calibration.go whether probabilities are off and what could be done about it,
// shares.go and groups.go how often intervals and answers held, and where;
// resample.go gives the intervals; result.go puts it together.
//
// A case is a fire of a unit at an origin whose next visit within the horizon
// recorded an as found. Orders are judged by units (the worst fire), probabilities
// by fires. Who is visited is not chosen at random, and a reading is not the
// state: the result speaks for readings at units that were visited.
//
// The package has no clock, no database and no file; chance comes from a seed.
package hindsight
