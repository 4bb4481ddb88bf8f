package drift

// Note is what a reader of a fit's figures must know: a kind with its numbers. The
// sentence is made by who shows it.
type Note interface{ note() }

// noted marks the kinds of notes.
type noted struct{}

func (noted) note() {}

// The kinds of notes.
type (
	// ColumnOut: a column is not in the fit.
	ColumnOut struct {
		noted
		Column string
		Why    Absence
	}
	// Inseparable: a column of instruments is not in the fit, since the readings do not
	// tell them from units; every interval allows for SD, the prior's, in Unit.
	Inseparable struct {
		noted
		Column, Unit string
		SD           float64
	}
	// NotFitted: the readings could not be fitted, and the priors stand in.
	NotFitted struct {
		noted
		Err error
	}
	// DisplaysHideNoise: most displays hide more than the noise of a reading, which is
	// taken and not estimated; ratios are fixed, priors wide.
	DisplaysHideNoise struct {
		noted
		NoisePoints float64
	}
	// FewDifferences: too few for ratios and variances; priors are wide.
	FewDifferences struct {
		noted
		Differences int
	}
	// NothingFitted: too few differences for any figure; the priors are the fit.
	NothingFitted struct {
		noted
		Differences int
	}
	// AreasMoveTogether: units of one area change level together from year to year.
	AreasMoveTogether struct {
		noted
		SDPoints float64
	}
	// AnalyzersNotCompared: no two analyzers were used on one setting.
	AnalyzersNotCompared struct{ noted }
	// PeriodsNotCompared: nor were two calibration periods.
	PeriodsNotCompared struct{ noted }
	// FewAnalyzers: too few were compared for their spread to be measured; it is taken.
	FewAnalyzers struct {
		noted
		Analyzers, Comparisons int
	}
)

// Absence is why a column is not in a fit: a kind with its facts.
type Absence interface{ absence() }

// absent marks the kinds of absences.
type absent struct{}

func (absent) absence() {}

// The kinds of absences.
type (
	// NeverChanges: the column is constant within every segment.
	NeverChanges struct{ absent }
	// Follows: the column is a combination of others that are in the fit.
	Follows struct {
		absent
		From []string
	}
	// NeedsDifferences: there are fewer than the column needs.
	NeedsDifferences struct {
		absent
		Least int
	}
	// KnownTooPoorly: its standard error is beyond its MaxSE.
	KnownTooPoorly struct {
		absent
		SE float64
	}
	// KeptOut: who asked for the fit asked for it without the column.
	KeptOut struct{ absent }
)

// Ended is how a fit ended: what it rests on, of how many differences, and the search
// for its ratios where one was made.
type Ended struct {
	How         How
	Differences int
	Search      *Ending // nil: ratios were given
}

// Fallback is why a search ended with the fixed ratios: a kind with its numbers.
type Fallback interface{ fallback() }

// fellBack marks the kinds of fallbacks.
type fellBack struct{}

func (fellBack) fallback() {}

// The kinds of fallbacks.
type (
	// TooFewToSearch: the fleet has too little to estimate ratios from.
	TooFewToSearch struct {
		fellBack
		Differences, Units int
	}
	// NoCriterion: no ratios could be evaluated.
	NoCriterion struct{ fellBack }
	// NoiseVanishes: the noise runs to nothing beside the other parts: exact copies, or
	// values finer than they are.
	NoiseVanishes struct{ fellBack }
	// NotSettled: the search did not settle in so many restarts.
	NotSettled struct {
		fellBack
		Restarts int
	}
)

// Part is a part of the variance.
type Part uint8

// The parts: the noise, and in the order of Theta those whose ratios to it are searched.
const (
	Noise Part = iota
	Wandering
	UnitSlope
	AnalyzerBias
	PeriodBias
)

// partOf is the part of a ratio's place in Theta.
func partOf(k int) Part { return Part(k + 1) }

// HeldPart is a part that was not searched.
type HeldPart struct {
	Part Part
	Why  HeldWhy
}

// HeldWhy is why a part was not searched.
type HeldWhy uint8

// Why parts are held.
const (
	GapsAlike    HeldWhy = iota // all gaps equal, two readings a segment: one with the noise
	NotEstimable                // nothing compares what it is of
	FewCompared                 // too few analyzers are compared
)
