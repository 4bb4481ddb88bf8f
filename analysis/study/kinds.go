package study

// Unfit is why two readings that follow each other make no row.
type Unfit uint8

// Why a pair makes no row.
const (
	MakesARow    Unfit = iota
	AsLeftGone         // the burner was set, and what it was left at is not recorded
	FoundTwice         // as found recorded twice, none known to be the first
	MovedBetween       // the unit moved to another place
	OtherFuel          // or the fuel is not sure
	VentUnknown        // on one of the days
	LengthTyped        // the vent's length looks typed in where nothing better was known
	OutOfTime          // the same day, or more than MostYears apart
)

// Missing is what a row lacks for any fit.
type Missing uint8

// What rows lack.
const (
	NothingMissing Missing = iota
	NoMeasure              // length, elbows or longest run
	NoAir                  // combustion air
	NoInstallDay
)

// Chosen is how the declared comparison came to be: a kind with its counts.
type Chosen interface{ chosen() }

// choosing marks the kinds of choices.
type choosing struct{}

func (choosing) chosen() {}

// The kinds of choices.
type (
	// InConfiguration: it is declared there.
	InConfiguration struct{ choosing }
	// GreatestPower: of those with so many rows and sites its design tells most.
	GreatestPower struct {
		choosing
		Rows, Sites int
		Of          []Candidate // all of them, the one chosen first
	}
	// NoneEnough: none has so many; it is drift of all burner controls.
	NoneEnough struct {
		choosing
		Rows, Sites int
	}
)

// Candidate is a comparison that might be declared.
type Candidate struct {
	Primary
	Rows, Sites int
	// Width is how wide its interval is to be expected, per metre of equivalent
	// length, in the widths of the narrowest: by its columns alone.
	Width float64
}

// Lack is why a figure was not made, or what a fit had to be made without: a kind with
// its facts. Package words makes the sentence.
type Lack interface{ lack() }

// lacking marks the kinds of lacks.
type lacking struct{}

func (lacking) lack() {}

// The kinds of lacks.
type (
	// Failed: the rows do not carry it.
	Failed struct {
		lacking
		Err error
	}
	// TooFew: so many rows there are, and so many are needed.
	TooFew struct {
		lacking
		Rows, Needed int
	}
	// RareControls: so many rows are of burner controls that are too rare.
	RareControls struct {
		lacking
		Rows int
	}
	// Repeats: a column repeats others and is left out.
	Repeats struct {
		lacking
		Column string
	}
	// ErrorsUnknown: nothing says how large errors in lengths are.
	ErrorsUnknown struct{ lacking }
	// NoSimulations: none were asked for.
	NoSimulations struct{ lacking }
	// NoPrinciples: first principles say nothing of the burner control.
	NoPrinciples struct{ lacking }
)

// failed is the lack of what an error kept from being made; nil without one.
func failed(err error) Lack {
	if err == nil {
		return nil
	}
	return Failed{Err: err}
}

// Group is what a sensitivity makes otherwise.
type Group uint8

// Groups of sensitivities.
const (
	GroupDeclared Group = iota
	GroupControls
	GroupRows
	GroupColumns
	GroupMeasure
	GroupFittings
	GroupSites
	GroupSource
	GroupFuel
	GroupAnalyzers
	GroupAreas
)

// Choice is which of its group a sensitivity makes.
type Choice struct {
	Kind ChoiceKind
	Of   string // the fit, measure, source, fuel, analyzer or area of the kinds that have one
}

// ChoiceKind is the kind of a choice.
type ChoiceKind uint8

// Kinds of choices.
const (
	AsDeclared   ChoiceKind = iota
	EveryControl            // all burner controls in one fit
	KeepsRemoved            // readings that the judgement takes out
	NoCallOuts
	NoFarRows     // none off the fit by more than FarOff
	WithColumns   // Of a fit
	OnRowsOfBoth  // Of a measure
	LeastFittings // lowest resistance, Of a measure
	MostFittings  // highest
	OwnBySite     // level and slope of its own for each site
	OneOf         // one source, fuel, analyzer or area
)

// ErrorsFrom is where the size of errors in lengths comes from.
type ErrorsFrom uint8

// Where it comes from.
const (
	NotKnown     ErrorsFrom = iota
	FromRepeats             // repeated registers that differ without an alteration
	FromDeclared            // the configuration
)

// Basis is what a prediction from first principles follows from.
type Basis uint8

// Bases of predictions. The formulas are those of package combustion's shifts.
const (
	NoBasis Basis = iota
	// FixedFan is a fan at constant speed with flat pressure against the whole air and
	// flue path: air goes with the root of one over its resistance. The vent's share of
	// the fan's pressure is added to that path, gas stays as set.
	FixedFan
	// HeldByControl is a control that holds gas to air, or O2 itself, so that resistance
	// takes input and not CO2, to first order.
	HeldByControl
	// ConstantResistance moves nothing with time.
	ConstantResistance
)

// Feature is something that configurations are compared by, or that is assumed of one.
type Feature uint8

// Features.
const (
	VentLength Feature = iota
	VentDiameter
	Elbows90
	Elbows45
	Input
	ShareOfRun // ByLength
	ShareOfFan // ByFan
	LongestRun
	FanPressure
	FuelBurnt
)

// Assumed is what a configuration does not give and the units nearest to it do.
type Assumed struct {
	Feature Feature
	Value   float64
	Unit    string
	Fuel    string // of FuelBurnt, which has no value
}

// Beyond is why a configuration lies outside the data: a kind with its numbers.
type Beyond interface{ beyond() }

// outside marks the kinds of what lies beyond.
type outside struct{}

func (outside) beyond() {}

// The kinds of what lies beyond.
type (
	// NoneComparable: no units have all that is given on record.
	NoneComparable struct{ outside }
	// OutOfRange: a feature lies outside its range among the units.
	OutOfRange struct {
		outside
		Feature         Feature
		Unit            string
		At, Least, Most float64
	}
	// NoMixture: each lies within its range, and no mixture of units has all together.
	NoMixture struct{ outside }
)
