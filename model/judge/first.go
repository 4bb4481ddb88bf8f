package judge

import "slices"

// Words of a Situation. An axis that is not known has a word of its own, so
// that the table below speaks for every unit.
const (
	FireBoth Fire = "both" // high and low are out alike

	COBelowAttention = "below attention"
	COForAttention   = "attention"
	COIsUrgent       = "urgent"
	CONotRecorded    = "missing"

	AirWarmer = "warmer than when set"
	AirColder = "colder than when set"
	AirAlike  = "alike or not known"

	AnalyzerInOrder  = "in order"
	AnalyzerOverdue  = "calibration overdue"
	AnalyzerDoubted  = "off at other units too"
	AnalyzerNotKnown = "not known"

	GasLower       = "lower than before"
	GasHigher      = "higher than before"
	GasAlike       = "as before"
	GasNotRecorded = "not recorded"
)

// Situation is what is known about a unit before somebody goes: the axes of
// the table of first checks.
type Situation struct {
	Side        Side   // of the setting band
	Fire        Fire   // High, Low, Single or FireBoth: where it is out, or was read
	Control     string // of the burner, as the register has it; "" where it has none
	CO          string
	Air         string // combustion air against the day the burner was last set
	Analyzer    string
	GasPressure string // against the unit's own history
}

// CheckBasis is what every row of the table rests on.
const CheckBasis = "common practice, no source"

// Check is one thing to look at, and why it comes before others.
type Check struct {
	Do    string // in a person's words, a whole sentence
	Why   string // likewise
	Basis string // CheckBasis
}

// MostChecks is how many checks a situation is given.
const MostChecks = 3

// CheckFirst returns what to look at first in a situation, one to three checks
// in order. They are a place to begin for a licensed technician with the
// appliance's own instructions at hand, and no diagnosis.
func CheckFirst(s Situation) []Check {
	var checks []Check
	for i := range checkTable {
		if row := &checkTable[i]; len(checks) < MostChecks && row.fits(s) {
			checks = append(checks, Check{row.do, row.why, CheckBasis})
		}
	}
	return checks
}

// checkRow is a row of the table: the words of each axis it holds for, none
// meaning any.
type checkRow struct {
	sides                               []Side
	fires                               []Fire
	controls, cos, airs, analyzers, gas []string
	do, why                             string
}

// fits reports whether a row holds for a situation.
func (row *checkRow) fits(s Situation) bool {
	return holds(row.sides, s.Side) && holds(row.fires, s.Fire) && holds(row.controls, s.Control) && holds(row.cos, s.CO) &&
		holds(row.airs, s.Air) && holds(row.analyzers, s.Analyzer) && holds(row.gas, s.GasPressure)
}

// holds reports whether the words of an axis hold for one of it.
func holds[W comparable](words []W, word W) bool {
	return len(words) == 0 || slices.Contains(words, word)
}
