package drift

import "math"

// Kind says when within a visit a reading was taken.
type Kind uint8

// Kinds of a reading.
const (
	AsFound Kind = iota // before anything was touched
	Between             // while setting; never part of a segment
	AsLeft              // after the last adjustment
)

// Answer is what the record says about adjustment at this fire.
type Answer uint8

// Answers. Unknown is not a third kind of no: see Segment.
const (
	Unknown Answer = iota
	Yes
	No
)

// Use says what a reading is good for. A judgement lowers it; it never takes
// the unit off a list.
type Use uint8

// Uses of a reading.
const (
	ForFit   Use = iota // may stand in a segment and be the state of today
	ForState            // may be the state of today, forms no difference
	ForNone             // as if it had not been recorded
)

// Change is what else became different about a unit: a set of bits.
type Change uint8

// Changes. Each ends a segment. After a change of target alone the last
// reading can still be carried on; after the others it says nothing of today.
const (
	ChangeTarget Change = 1 << iota
	ChangeFuel
	ChangeBurner
	ChangeVent
	ChangeSensor
)

// Reading is one CO2 value at one fire.
type Reading struct {
	Y        float64   // CO2 minus the target of that day, points; NaN = not recorded
	Kind     Kind      //
	Use      Use       //
	Analyzer int       // column of the analyzer, 0..; -1 unknown
	Period   int       // column of the analyzer's calibration period, 0..; -1 unknown
	W        float64   // multiple of the noise variance; 0 stands for 1
	Other    float64   // what it may show instead of Y, with OtherP: the record contradicts itself
	OtherP   float64   // 0: no other value
	Level    []float64 // one value a level column of the Design, never NaN
}

// Visit is a day's work at a unit, as far as this fire is concerned. A visit at
// which the burner could have been adjusted belongs in the series even when no
// value of this fire was recorded: it ends what was known.
type Visit struct {
	T        float64 // years, from any origin the unit's Runs share
	Readings []Reading
	Adjusted Answer
	Work     bool   // work that ends in a new setting was recorded
	By       int    // number of whoever was there, from 1; 0 unknown
	Before   Change // since the visit before
	Chosen   bool   // read or written down because of how the burner stood, not of the calendar
	During   Change // between as found and as left

	// The setting a visit leaves unrecorded is taken to be the target as shown
	// by this analyzer on a day with these level covariates (nil: those of the
	// visit's readings, else the reference conditions, all 0).
	Analyzer, Period int
	Level            []float64
	// TargetStep is the target of that day minus the target in force now,
	// points: it restates an old deviation as one from today's target.
	TargetStep float64
}

// Run is a stretch of constant circumstances from a time on, until the next
// Run. The rate of drift column k within it is Rate[k] + Grow[k] (t - From):
// its integral is the covariate A_j of the model. A NaN rate is not known: the
// fit then moves the stretch to the column's Companion, the prediction uses
// what the Series imputes. Grow nil is all 0; age is Rate = age at From, Grow 1.
type Run struct {
	From float64 // years
	Rate []float64
	Grow []float64
}

// Imputation stands for rates that are not known: a middle value and the variance
// between units, one a drift column. Nil slices mean the median and variance
// over the fleet.
type Imputation struct {
	Rate, Var []float64
}

// Series is the history of one unit at one fire.
type Series struct {
	Unit    string // serial, for messages only
	Area    int    // number of the area, from 1; 0 unknown
	Site    int    // and of the site
	Start   float64
	Visits  []Visit // by time; equal times are allowed
	Runs    []Run   // by From; the first reaches back without end
	Imputed Imputation
}

// Config holds the figures of the segment rule and of the states without a
// reading. Zero values are not defaults: start from DefaultRules.
type Config struct {
	SameWithin  float64 // as found and as left closer than this are one reading, points
	AdjustAt    float64 // deviation from which technicians adjust, points
	MaxGapYears float64 // a longer gap ends a segment

	SetSD            float64 // sd of a setting that was not recorded about the target, points, until recorded ones tell
	ResetFlagged     float64 // probability of "set to target" where the record says adjusted, until visits with values tell
	ResetWork        float64 // where only work was recorded; NaN: midway
	ResetNoFlag      float64 // where there is no flag; NaN: estimated, at most 0.9, else 0.7
	ResetUnconfirmed float64 // where the value left was judged unfit for the fit
	FarPoints        float64 // "far out" for the share adjusted of a suspected typing error
	TypingShare      float64 // eps: share of readings typed wrongly
	JumpsPerYear     float64 // lambda: real jumps a unit-year
	TypingSD         float64 // sd of a typing error, points
	JumpSD           float64 // sd of a real jump, points
	MinForShare      int     // fewest visits from which a share adjusted is estimated
	DefaultAdjust    float64 // share adjusted until there are so many
}

// DefaultConfig returns the figures the model was measured with.
func DefaultConfig() Config {
	return Config{
		SameWithin: 0.05, AdjustAt: 0.1, MaxGapYears: 5,
		SetSD: 0.1, ResetFlagged: 0.9, ResetWork: math.NaN(), ResetNoFlag: math.NaN(), ResetUnconfirmed: 0.5,
		FarPoints: 0.3, TypingShare: 0.015, JumpsPerYear: 0.04, TypingSD: 0.8, JumpSD: 0.65,
		MinForShare: 20, DefaultAdjust: 0.7,
	}
}

// find returns the visit's reading of a kind that may be used, or -1. Of
// several, the first as found and the last as left count.
func (v *Visit) find(k Kind) int {
	at := -1
	for i := range v.Readings {
		r := &v.Readings[i]
		if r.Kind != k || r.Use == ForNone || math.IsNaN(r.Y) {
			continue
		}
		at = i
		if k == AsFound {
			break
		}
	}
	return at
}

// outcome says whether the burner was set at the visit, and whether the record
// decides it.
func (v *Visit) outcome(r Config) (adjusted, known bool) {
	if v.Adjusted == Yes {
		return true, true
	}
	found, left := v.find(AsFound), v.find(AsLeft)
	if found >= 0 && left >= 0 {
		return beyond(v.Readings[found].Y-v.Readings[left].Y, r.SameWithin), true
	}
	return false, v.Adjusted == No
}

// edge is how far beyond a limit a deviation must lie to count, points: displays
// step onto limits such as 0.1, and the same value recorded in O2 comes back a
// little to either side of it.
const edge = 1e-3

// beyond says whether a deviation lies beyond a limit on either side.
func beyond(y, limit float64) bool { return math.Abs(y) > limit+edge }
