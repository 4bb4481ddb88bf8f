package watch

import (
	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Reason is why a unit stands where it does, or what its state adds: a kind with its
// facts. Package words makes the sentence. A reason points into the line and the
// history it was found in, which stay as they are.
type Reason interface{ reason() }

// because marks the kinds of reasons.
type because struct{}

func (because) reason() {}

// The kinds of reasons, by ground.
type (
	// COFound: the newest CO at a fire is urgent or for attention. Whether it is
	// urgent, what its unit's state makes of it and since when lists have asked for
	// it stand in the line.
	COFound struct {
		because
		Fire    *FireLine
		FromPPM float64 // from where on it is what it is
		AsOf    day.Day
	}
	// COUnusable: a CO on a record that could not be used is urgent or for attention.
	COUnusable struct {
		because
		CO      *UnusedCO
		FromPPM float64
		AsOf    day.Day
	}
	// OverFuel: the newest CO2 of a fire is more than its fuel can give.
	OverFuel struct {
		because
		Fire          *FireLine
		Fuel          string
		CO2MaxPercent float64
	}
	// SetAsOther: what was left at a fire, time after time, fits another fuel better.
	SetAsOther struct {
		because
		Last      *judge.Reading
		Readings  int
		OtherFuel string
	}
	// OtherSettingFound: the newest CO2 of a fire was computed for another fuel.
	OtherSettingFound struct {
		because
		Found *Found
	}
	// OutNow: the forecast has a fire probably out of limits today.
	OutNow struct {
		because
		Fire   *analysis.FireForecast
		Chance analysis.Probability
	}
	// OutAhead: the forecast has a fire probably out of limits before its planned day.
	OutAhead struct {
		because
		Fire  *analysis.FireForecast
		Worst analysis.Probability
	}
	// OutPerhaps: no fire is likelier out of limits than not on any day, but a visit
	// avoids enough all the same.
	OutPerhaps struct {
		because
		Fire  *analysis.FireForecast
		Worst analysis.Probability
	}
	// BelowLine: a unit can wait although there is a reason to see to it, because a
	// visit now avoids too little.
	BelowLine struct {
		because
		Of             Reason
		Days, LineDays float64 // out of limits avoided, and from where on it would be booked sooner
		// BackInside is from when the burner is likelier inside its limits than not
		// although nobody came; WorthFrom from when a visit before the planned day
		// would avoid enough. Either is day.None where there is no such day.
		BackInside, WorthFrom day.Day
	}
	// Unconfirmed: whether a fire is out of limits depends on a last reading that
	// nobody has confirmed.
	Unconfirmed struct {
		because
		Fire *analysis.FireForecast
	}
	// LeftOff: a fire was left, or last found and left so, outside its setting band.
	LeftOff struct {
		because
		Fire   *FireLine
		Others []*FireLine // that were too
		Doubt  *Found      // puts that reading in doubt; nil without one
	}
	// UntestedSince: a fire was not read since the unit moved, or its vent run or fuel
	// changed.
	UntestedSince struct {
		because
		Fire                *FireLine
		Moved               *judge.Move // nil where it did not move
		Fuel                string      // the fuel it was changed to; "" where it moved or the vent run changed
		From, UncertainFrom day.Day     // the day of the change, and the last day before it; day.None where the day is known
	}
	// SuspectAnalyzer: the last reading of a fire was made with an analyzer that stands
	// far off those before it.
	SuspectAnalyzer struct {
		because
		Fire *FireLine
	}
	// Overdue: the planned day has passed without a routine visit.
	Overdue struct {
		because
		Plan
		AsOf    day.Day
		NotRead string       // exports that might have a visit, see Rules
		Since   *judge.Visit // a later visit, which is none of those; nil
		NoGas   bool         // it wrote down neither CO2 nor O2
	}
	// RegisterLineAside: the unit's line of the register was set aside.
	RegisterLineAside struct {
		because
		Origin string
	}
	// NotInRegister: the serial is not in the register.
	NotInRegister struct{ because }
	// NoTargetDeclared: at a fire, or at none, a target is declared.
	NoTargetDeclared struct {
		because
		Unit *judge.Unit
		Fire *FireLine // nil: at no fire
	}
	// NoBandDeclared: the target of a fire has no setting band.
	NoBandDeclared struct {
		because
		Fire *FireLine
	}
	// LinesUnusable: there is no reading, and lines of the unit could not be used.
	LinesUnusable struct {
		because
		Unused Unused
	}
	// NeverRead: there is no reading; of a visit no value, no visit, or no install day.
	NeverRead struct {
		because
		LastVisit day.Day // day.None: never visited
		Installed day.Day
		NotRead   string
	}
	// COUnreadable: the CO of a record cannot be read.
	COUnreadable struct {
		because
		CO *UnusedCO
	}
	// CONotRecorded: the last visit recorded no CO at some fires, or nothing at all.
	CONotRecorded struct {
		because
		Day   day.Day
		Fires []FireAt
	}
	// NothingDue: nothing brings the unit forward.
	NothingDue struct {
		because
		PlannedDay day.Day // day.None: nothing to plan from
		NotRead    string
	}
	// ReadSinceRemoved: the unit is recorded as removed and was read since.
	ReadSinceRemoved struct{ because }
	// OutOfUse: the unit is off for the season or on standby.
	OutOfUse struct {
		because
		State judge.State
	}
	// FarLeft: a fire was left far outside its setting band, probably by mistake. This
	// and what follows are what records are to be corrected for.
	FarLeft struct {
		because
		Fire *FireLine
	}
	// RemovedAndRead: a unit was read after the day it was recorded as removed.
	RemovedAndRead struct {
		because
		RemovedOn day.Day
	}
	// VentRunUnknown: the vent run where a unit moved to is not on record.
	VentRunUnknown struct {
		because
		Move *judge.Move
	}
	// AnswerLapsed: an answer no longer stands, and nobody came since.
	AnswerLapsed struct {
		because
		Answer *judge.Answer
	}
)

// Perhaps reports whether the fire may have been tested since the change, whose day
// is not known.
func (u UntestedSince) Perhaps() bool {
	return u.UncertainFrom != day.None && u.Fire.Reading != nil && u.Fire.Reading.Day > u.UncertainFrom
}
