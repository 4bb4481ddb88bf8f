package study

import "fluedrift/model/judge"

// Counts are the data behind a figure.
type Counts struct {
	Rows     int // differences
	Units    int
	Sites    int // clusters of the errors
	Segments int // stretches from one setting of a burner to the next that the rows lie in
	Readings int // different readings behind the rows
}

// What changes: the responses of the fits.
const (
	InPoints   = "CO2"       // of CO2 less target, points
	InLnLambda = "ln lambda" // of the logarithm of the air number
)

// Effect is one coefficient of one fit, or a sum of such that has a name of its
// own ("vent at fixed air": the slope within that burner control).
type Effect struct {
	Kind                         Kind
	Fire                         judge.Fire
	Response, Measure, Fit, Name string
	Unit                         string
	Control                      judge.Control // the rows are of, or WithinControl; "" all
	Contrast                     Contrast
	Primary                      bool
	WithinControl                bool // the vent's effect within one burner control, which Name names
	Counts
}

// NotMade is a fit, or a part of one, that the data did not carry, or a caveat of it.
type NotMade struct {
	Kind                   Kind
	Fire                   judge.Fire
	Response, Measure, Fit string
	Control                judge.Control // the rows are of; "" all
	Part                   Part
	Why                    Lack
}

// Part is which part of a fit was not made.
type Part int

// Parts of a fit.
const (
	Whole  Part = iota
	ATest       // whether burner controls differ
	ACurve      // the curve beside the line; it has no response and no fit
)

// JointTest asks whether a group of coefficients of one fit is zero together: of
// "vent x burner control", whether the vent's effect differs between controls.
type JointTest struct {
	Kind                         Kind
	Fire                         judge.Fire
	Response, Measure, Fit, Name string
	Coefficients                 []string
	Joint
	Counts
}

// Curve is the effect of the vent without the assumption of a line, beside the
// line. Of drift, points a year.
type Curve struct {
	Kind       Kind
	Fire       judge.Fire
	Control    judge.Control // the rows are of; "" all
	Measure    string
	Knots      []float64
	Band       Band      // points, with no change of air
	Line       []float64 // the straight fit of the same rows at Band.X
	F, P       float64   // test of any bend, by Hotelling's T squared
	At, Change []float64 // of the rows: measure, and change of CO2 (a year for drift) as if all else were as for the curve
	Counts
}

// Diagnostic holds what pictures of one fit show; slices run along its rows.
type Diagnostic struct {
	Kind                   Kind
	Fire                   judge.Fire
	Response, Measure, Fit string
	Control                judge.Control // the rows are of; "" all
	Unit                   string
	Rows                   []int // indices into Study.Rows
	Fitted, Residual       []float64
	Leverage               []float64
	Standardized           []float64 // residual over its standard deviation under independent errors
	Quantile               []float64 // the normal quantile of that residual's rank
	Vent, Partial          []float64 // the vent's column, and residual plus its effect; for drift both already times the years between
	Slope                  float64   // of Partial on Vent
	ResidualSD             float64
	Counts
}

// Slope is the vent's effect in one fit that may not have been possible.
type Slope struct {
	Contrast
	Counts
	NotMade Lack // nil where there is one
}

// Sensitivity is one way in which the study might have been made otherwise, and
// what it makes of the vent's effect: CO2 points, at the declared fire and burner control.
type Sensitivity struct {
	Group    Group
	Choice   Choice
	Measure  string
	Slopes   [3]Slope // in the order of Kinds
	Declared int      // which of them is the declared comparison
	Mixed    bool     // its errors are those of the mixed model, and not CR2
}

// LengthErrors is how far recorded vent lengths are from the true ones, standard
// deviation of the logarithm.
type LengthErrors struct {
	SD, Low, High float64 // with its 95 % interval; NaN where not known
	From          ErrorsFrom
	Pairs         int     // repeated registers with another length and no alteration
	Declared      float64 // as configured, 0 for none
}

// Correction is the vent's effect with the errors of recorded lengths taken out by
// simulation and extrapolation (SIMEX), pooled fit by length.
type Correction struct {
	Kind             Kind
	Fire             judge.Fire
	Measure          string
	ErrorSD          float64 // of the logarithm of length
	SizeLow          float64 // its 95 % interval, which the corrected one allows for; NaN where it is taken as known
	SizeHigh         float64
	Naive, Corrected Contrast
	Added, Slopes    []float64 // error variance added, in units of ErrorSD squared, and the mean slope with it
	NotMade          Lack      // why there is none; nil where there is one
	Counts
}

// Prediction puts what physics says of the same rows beside the estimate: the same
// fit made to the change that pressure loss would make.
type Prediction struct {
	Kind                    Kind
	Fire                    judge.Fire
	Control                 judge.Control
	Response, Measure, Unit string
	Low, Middle, High       float64 // slope by the lowest, middle and highest resistance of fittings
	Estimate                Contrast
	Inside                  bool // the interval of the estimate and the range of the prediction overlap
	Basis                   Basis
	NotMade                 Lack
	Counts
}

// UnitVent is a unit's vent as it is on the as-of day, for maps and neighbours.
// Unknown numbers are NaN, counts -1.
type UnitVent struct {
	Serial, Site, Area, Line, Fuel string
	Control                        judge.Control
	LengthM, DiameterM             float64
	Elbows90, Elbows45             int
	OfRun, OfFan                   float64
	InputKW                        float64
	LongestRunM, FanPa             float64 // of its model line
	Rows                           int     // of any question
}
