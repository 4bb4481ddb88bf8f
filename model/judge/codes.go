package judge

import "slices"

// Fire is what a burner fires at while it is read; "" where that is not known.
type Fire string

// Fires of a reading.
const (
	High   Fire = "high"
	Middle Fire = "middle" // between the two, where it has a target of its own
	Low    Fire = "low"
	Single Fire = "single"
	Point  Fire = "point" // of a curve, by its rate
)

// Fires lists the fires of a reading, in the order in which they are listed.
func Fires() []Fire { return []Fire{High, Middle, Low, Single, Point} }

// Valid reports whether a reading may have the fire.
func (f Fire) Valid() bool { return slices.Contains(Fires(), f) }

// Control is what keeps a burner's air and gas together, as the register has it.
type Control string

// Controls of burners.
const (
	ControlUnknown      Control = ""
	ControlRatio        Control = "ratio"
	ControlLinkage      Control = "linkage"
	ControlOxygenTrim   Control = "oxygen trim"
	ControlFixedAir     Control = "fixed air"
	ControlNaturalDraft Control = "natural draft"
	ControlMultiPoint   Control = "multi-point"
)

// Controls lists the controls that a register may have.
func Controls() []Control {
	return []Control{ControlRatio, ControlLinkage, ControlOxygenTrim, ControlFixedAir, ControlNaturalDraft, ControlMultiPoint}
}

// Valid reports whether a register may have the control.
func (c Control) Valid() bool { return slices.Contains(Controls(), c) }

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

// Reason is why a visit took place; "" where that is not recorded.
type Reason string

// Reasons of visits. A factory test took place before the unit was at its site.
const (
	FactoryTest    Reason = "factory test"
	StartUp        Reason = "start-up"
	Annual         Reason = "annual"
	SeasonalStart  Reason = "seasonal start"
	CallOut        Reason = "call-out"
	AfterRepair    Reason = "after repair"
	VentAltered    Reason = "vent altered"
	FuelConversion Reason = "fuel conversion"
	FollowUp       Reason = "follow-up"
	OtherReason    Reason = "other"
)

// Routine reports whether the calendar asks for such a visit, and not what the unit
// did: common practice, no source.
func (r Reason) Routine() bool { return r == StartUp || r == Annual || r == SeasonalStart }

// Reasons lists the reasons of visits.
func Reasons() []Reason {
	return []Reason{
		FactoryTest, StartUp, Annual, SeasonalStart, CallOut, AfterRepair, VentAltered, FuelConversion, FollowUp, OtherReason,
	}
}

// Valid reports whether a visit may have the reason.
func (r Reason) Valid() bool { return slices.Contains(Reasons(), r) }

// State is where a unit stands in the register; "" where that is not recorded.
type State string

// States of units.
const (
	InService       State = "in service"
	Standby         State = "standby"
	OffForTheSeason State = "off for the season"
	Isolated        State = "isolated"
	Removed         State = "removed"
)

// States lists the states of units.
func States() []State { return []State{InService, Standby, OffForTheSeason, Isolated, Removed} }

// Valid reports whether a unit may have the state.
func (s State) Valid() bool { return slices.Contains(States(), s) }
