package judge

import "slices"

// Fire is what a burner fires at while it is read; "" where that is not known.
type Fire string

// Fires of a reading.
const (
	High   Fire = "high"
	Low    Fire = "low"
	Single Fire = "single"
	Point  Fire = "point" // of a curve, by its rate
)

// Fires lists the fires of a reading, in the order in which they are listed.
func Fires() []Fire { return []Fire{High, Low, Single, Point} }

// Valid reports whether a reading may have the fire.
func (f Fire) Valid() bool { return slices.Contains(Fires(), f) }

// Controls of a burner's air and gas, as the register has them.
const (
	ControlUnknown      = ""
	ControlRatio        = "ratio"
	ControlLinkage      = "linkage"
	ControlOxygenTrim   = "oxygen trim"
	ControlFixedAir     = "fixed air"
	ControlNaturalDraft = "natural draft"
	ControlMultiPoint   = "multi-point"
)

// Condition is where in a visit a reading was taken; "" where that is not known.
type Condition string

// Conditions of a reading.
const (
	AsFound Condition = "as found"
	Between Condition = "between"
	AsLeft  Condition = "as left"
)

// Conditions lists the conditions of a reading in the order of a visit.
func Conditions() []Condition { return []Condition{AsFound, Between, AsLeft} }

// Valid reports whether a reading may have the condition.
func (c Condition) Valid() bool { return slices.Contains(Conditions(), c) }
