package analysis

import "fluedrift/model/day"

// Mark is something that a forecast rests on or lacks.
type Mark struct {
	Kind   MarkKind
	Points float64 // of MarkAnalyzerReads: the bias of the last reading's analyzer, to two decimals
	Day    day.Day // of MarkByHindsight: from which it looked back
}

// MarkKind is a kind of marks, as it is stored.
type MarkKind string

// The kinds of marks that a forecast bears.
const (
	MarkOwnDriftUnknown MarkKind = "own-drift-unknown"      // no two readings of the unit can be compared
	MarkNothingRecorded MarkKind = "nothing-recorded"       // since it was installed
	MarkSetNotRecorded  MarkKind = "set-not-recorded"       // adjusted, and what was left is not recorded
	MarkMaybeSet        MarkKind = "maybe-set"              // nothing says whether it was adjusted
	MarkLastUnconfirmed MarkKind = "last-unconfirmed"       // the last reading contradicts those before it
	MarkChangedSince    MarkKind = "changed-since"          // fuel, burner, vent or sensor, since the last reading
	MarkLastInDoubt     MarkKind = "last-in-doubt"          // the last reading was judged unfit for the fit
	MarkRateUnknown     MarkKind = "rate-unknown"           // a drift rate stands for the middle of others
	MarkExtrapolated    MarkKind = "extrapolated"           // far past the last reading
	MarkAnalyzerUnknown MarkKind = "analyzer-unknown"       // of the last reading
	MarkDefaults        MarkKind = "defaults"               // nothing was measured
	MarkNotSeparable    MarkKind = "analyzer-or-burner"     // the last instrument stands far off those before it
	MarkAnalyzerReads   MarkKind = "analyzer-reads"         // the last reading's, off the others by Points
	MarkVentLossUnknown MarkKind = "vent-loss-unknown"      // where vents are compared by their loss
	MarkNotHeldToTarget MarkKind = "not-held-to-target"     // its fuel is in doubt
	MarkByHindsight     MarkKind = "corrected-by-hindsight" // its probabilities, by how right earlier ones were
)

// Marked reports whether a forecast bears a mark.
func (f *FireForecast) Marked(kind MarkKind) bool {
	for _, m := range f.Marks {
		if m.Kind == kind {
			return true
		}
	}
	return false
}
