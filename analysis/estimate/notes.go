package estimate

import (
	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// Note is what a reader of an estimate must know: a kind with its numbers. Package
// words makes the sentence.
type Note interface{ note() }

// noted marks the kinds of notes.
type noted struct{}

func (noted) note() {}

// The kinds of notes of a whole fleet.
type (
	// CoarseSource: a source shows its gas values in coarse steps.
	CoarseSource struct {
		noted
		Source *Source
	}
	// VentsCompared: by what vents are compared, and why.
	VentsCompared struct {
		noted
		Choice *VentChoice
	}
	// SuspectedVent: a length of so many units of those known looks typed in.
	SuspectedVent struct {
		noted
		TypedVent
		Known int
	}
	// LengthsInError: an error of recorded lengths was declared; Rho of the spread
	// between units is true.
	LengthsInError struct {
		noted
		ErrorSD, Rho float64
	}
	// ManyCallOuts: so large a share of visits that estimates lean.
	ManyCallOuts struct {
		noted
		Share float64
	}
	// SelectiveTechnicians: some record as-found readings only where they are bad; the
	// coefficients are from the readings of the others.
	SelectiveTechnicians struct {
		noted
		Flagged, Technicians int
	}
	// RecordedSelectively: so many do that no coefficient can be used.
	RecordedSelectively struct {
		noted
		unusable
	}
	// NotDetected: parts of the variance that a search did not find, of which forecasts
	// have nothing.
	NotDetected struct {
		noted
		Fire  judge.Fire
		Parts []drift.Part
	}
	// OtherNoise: fitted at a night's ratios, the noise is not the night's.
	OtherNoise struct {
		noted
		Fire                 judge.Fire
		Points, StoredPoints float64
	}
)

// The kinds of notes of the fit of a fire.
type (
	// OfFit: what the model says of its fit.
	OfFit struct {
		noted
		Note drift.Note
	}
	// AsFoundsChecked: settling and as-found readings that read otherwise, both tried.
	AsFoundsChecked struct {
		noted
		AsFoundCheck
	}
	// StepNoted: a suspected step of the level.
	StepNoted struct {
		noted
		StepSuspected
	}
	// GroupsOfAnalyzers: so many groups were never compared with each other.
	GroupsOfAnalyzers struct {
		noted
		Groups int
	}
	// StandIns: technicians stand in for so many analyzers not recorded.
	StandIns struct {
		noted
		Analyzers int
	}
	// NoisyAnalyzer: its readings scatter more than those of the others.
	NoisyAnalyzer struct {
		noted
		Analyzer *Analyzer
	}
	// CommonAnalyzer: it made so many of the newest readings that its bias moves their
	// units together.
	CommonAnalyzer struct {
		noted
		Analyzer *Analyzer
		Bias     drift.Bias
	}
	// CertificatesUsed: so many say what analyzers read at the end of a period.
	CertificatesUsed struct {
		noted
		Certificates int
	}
	// CertificateRefused: the readings contradict what a calibration found.
	CertificateRefused struct {
		noted
		Analyzer         string
		Period           Period
		FoundErrorPoints float64
	}
)

// The kinds of notes of instruments, which a reader of the list must know too.
type (
	// WildPeriods: biases change from calibration to calibration by more than instruments
	// do, and go by calendar year instead.
	WildPeriods struct {
		noted
		Fire     judge.Fire
		SDPoints float64
	}
	// AgeingHeld: the ageing of analyzers cannot be told from the drift of units;
	// intervals allow for SDPoints a year.
	AgeingHeld struct {
		noted
		Fire     judge.Fire
		SDPoints float64
	}
	// AnalyzerStep: an analyzer stands far off what read its units before or after.
	AnalyzerStep struct {
		noted
		Fire             judge.Fire
		Analyzer         string
		DifferencePoints float64
		After            bool // compared with what read them after it
		Since            day.Day
		Links            int // units both read
		Open             int // units that wait for another analyzer
	}
	// CalibrationTrend: without ageing, biases would have to move from calibration to
	// calibration by more than Alarm.
	CalibrationTrend struct {
		noted
		Fire   judge.Fire
		Points float64 // a year
	}
)

// ofFit are the notes of a model's fit as those of an estimate.
func ofFit(notes []drift.Note) (out []Note) {
	for _, n := range notes {
		out = append(out, OfFit{Note: n})
	}
	return out
}

// WhyNot is why an engineer should not use a coefficient: a kind with its numbers.
type WhyNot interface{ whyNot() }

// unusable marks the kinds of reasons.
type unusable struct{}

func (unusable) whyNot() {}

// The kinds of reasons not to use a coefficient, RecordedSelectively beside them.
type (
	// NotInFit: its column is not in the fit.
	NotInFit struct {
		unusable
		Why drift.Absence
	}
	// NothingMeasured: nothing was fitted.
	NothingMeasured struct{ unusable }
	// RecordsTooCoarse: too many readings come in steps of half a point.
	RecordsTooCoarse struct{ unusable }
	// VentKnownPoorly: the standard error of the vent effect, per standard deviation of
	// the vents, is NeededSE or more.
	VentKnownPoorly struct {
		unusable
		SE, NeededSE float64
	}
	// LengthsAsRecorded: fitted as if no error of lengths were declared.
	LengthsAsRecorded struct{ unusable }
)

// notInFit is why a column has no value; nil where it has one.
func notInFit(why drift.Absence) WhyNot {
	if why == nil {
		return nil
	}
	return NotInFit{Why: why}
}

// Ended is how a fit ended: a kind with its numbers.
type Ended interface{ ended() }

// ending marks the kinds of endings.
type ending struct{}

func (ending) ended() {}

// The kinds of endings.
type (
	// AtOnce: one fit of all.
	AtOnce struct {
		ending
		Fit drift.Ended
	}
	// InTwo: coefficients from the readings of technicians who record as-found readings
	// whatever they are; then the states from all.
	InTwo struct {
		ending
		First, Then drift.Ended
	}
	// OfShifts: a fit of shifts, which has its own noise.
	OfShifts struct {
		ending
		Shifts        int
		AnalyzerRatio float64
	}
)

// AsStored is what a night put in the warehouse as text.
type AsStored struct {
	ending
	unusable
	Text string
}
