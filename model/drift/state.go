package drift

import (
	"math"
	"strings"
)

// Mark is a set of caveats of a forecast.
type Mark uint16

// Marks.
const (
	NoHistory         Mark = 1 << iota // no two readings of the unit can be compared
	NoRecord                           // nothing recorded since it was installed
	SetNotRecorded                     // adjusted, and the value left was not written down
	MaybeSet                           // nothing says whether it was adjusted
	LastUnconfirmed                    // the last reading contradicts the ones before it
	ChangedSince                       // fuel, burner, vent or sensor changed since the last reading
	NotInFit                           // the last reading was judged unfit for the fit
	CovariateUnknown                   // a drift rate was filled in with the middle of others
	Extrapolated                       // more than three years after the last reading
	AnalyzerUnknown                    // nobody knows what the last reading was made with
	NotMeasuredEffect                  // the coefficients are defaults, not measured
)

var markWords = [...]string{
	"own drift unknown", "nothing recorded since installed", "set, not recorded", "adjustment not recorded", "last reading unconfirmed",
	"changed since the last reading", "last reading in doubt", "drift rate unknown", "extrapolated", "analyzer unknown", "defaults, not measured",
}

// String lists the caveats in words.
func (m Mark) String() string { return strings.Join(m.Words(), ", ") }

// state is a conditioning state, from which that of today can be reckoned: a reading, or a
// setting that was not recorded (reading -1).
type state struct {
	weight        float64
	reading       int
	t, y, w       float64 // y from today's target
	an, per       int32
	set           float64 // time of the last adjustment
	level         []float64
	confirmed     confirmation
	beforeRecords bool // stands for the time before all records
}

type confirmation uint8

const (
	certain     confirmation = iota
	keptReading              // the unconfirmed last reading is right
	typedWrong               // it is not
)

// readingState makes a conditioning state of reading r.
func (f *Fleet) readingState(u, r int, weight float64) state {
	v := &f.in.Series[u].Visits[f.vis[r]]
	return state{
		weight: weight, reading: r, t: f.t[r], y: f.y[r] + v.TargetStep, w: f.w[r],
		an: f.an[r], per: f.per[r], set: f.set[r], level: v.Readings[f.idx[r]].Level,
	}
}

// eitherState makes the conditioning states of reading r: one, or two where the record states
// two values for it.
func (f *Fleet) eitherState(u, r int, weight float64) []state {
	x := &f.in.Series[u].Visits[f.vis[r]].Readings[f.idx[r]]
	a := f.readingState(u, r, weight*(1-x.OtherP))
	if x.OtherP == 0 {
		return []state{a}
	}
	other := a
	other.weight, other.y = weight*x.OtherP, a.y+x.Other-x.Y
	return []state{a, other}
}

// targetState stands for a setting to the target at a visit, not recorded.
func (f *Fleet) targetState(v *Visit, weight, sd, sigma float64) state {
	a := state{
		weight: weight, reading: -1, t: v.T, y: v.TargetStep, w: 1 + (sd/sigma)*(sd/sigma),
		an: int32(max(v.Analyzer, -1)), per: int32(max(v.Period, -1)), set: v.T, level: v.Level,
	}
	if a.level == nil && len(v.Readings) > 0 {
		a.level = v.Readings[0].Level
	}
	return a
}

// settingState stands for a setting that was made as whoever was there makes them.
func (f *Fleet) settingState(v *Visit, weight, sigma float64) state {
	mean, sd := f.setting(v)
	a := f.targetState(v, weight, sd, sigma)
	a.y += mean
	return a
}

// What a record leaves open is decided by no rule but by shares: at a visit where the
// burner may have been set and nothing was written down, the state is "set there" with
// the probability of resetShare and "as it was" with the rest, and the walk goes on
// backwards with that rest. It ends at the first reading, or at the install day. The
// weights of the states add up to 1.

// states walks a unit's visits backwards until the state of today is decided,
// sharing the weight wherever the record leaves open what was done.
func (f *Fleet) states(u int, sigma float64) (out []state, marks Mark) {
	return f.statesUntil(u, len(f.in.Series[u].Visits)-1, sigma)
}

// statesUntil does so from the visit newest on.
func (f *Fleet) statesUntil(u, newest int, sigma float64) (out []state, marks Mark) {
	s := &f.in.Series[u]
	weight, r := 1.0, int(f.start[u+1])-1
	for r >= int(f.start[u]) && int(f.vis[r]) > newest {
		r--
	}
	for at := newest; at >= 0; at-- {
		v := &s.Visits[at]
		found, left := -1, -1
		for ; r >= int(f.start[u]) && int(f.vis[r]) == at; r-- {
			switch {
			case f.gone[r]:
			case v.Readings[f.idx[r]].Kind == AsLeft:
				left = r
			default:
				found = r
			}
		}
		if left >= 0 {
			return append(out, f.leftStates(u, left, weight, sigma)...), marks
		}
		reset, mark := f.resetShare(v, found >= 0)
		marks |= mark
		if reset > 0 {
			out = append(out, f.settingState(v, weight*reset, sigma))
			weight *= 1 - reset
		}
		if weight == 0 {
			return out, marks
		}
		if found >= 0 {
			return append(out, f.eitherState(u, found, weight)...), marks
		}
		if v.Before&^ChangeTarget != 0 {
			return append(out, f.targetState(v, weight, 2*f.in.Rules.SetSD, sigma)), marks | ChangedSince
		}
	}
	start := Visit{T: s.Start, Analyzer: -1, Period: -1}
	if math.IsNaN(start.T) && len(s.Visits) > 0 {
		start.T = s.Visits[0].T
	}
	if len(out) == 0 {
		marks |= NoRecord
	}
	first := f.targetState(&start, weight, f.in.Rules.SetSD, sigma)
	first.beforeRecords = true
	return append(out, first), marks
}

// leftStates make the state from an as left. One that was judged unfit for the
// fit contradicts the setting it should show: it was written down wrongly, and
// the burner stands at its target, or the burner was left so.
func (f *Fleet) leftStates(u, r int, weight, sigma float64) []state {
	v := &f.in.Series[u].Visits[f.vis[r]]
	share := f.in.Rules.ResetUnconfirmed
	if v.Readings[f.idx[r]].OtherP > 0 {
		return f.eitherState(u, r, weight)
	}
	if v.Readings[f.idx[r]].Use != ForState || share == 0 {
		return []state{f.readingState(u, r, weight)}
	}
	reset := f.settingState(v, weight*share, sigma)
	kept := f.readingState(u, r, weight*(1-share))
	reset.confirmed, kept.confirmed = typedWrong, keptReading
	return []state{reset, kept}
}

// resetShare is the probability that a visit without an as left ended with the
// burner set to its target.
func (f *Fleet) resetShare(v *Visit, found bool) (float64, Mark) {
	r := f.in.Rules
	switch {
	case v.During&^ChangeTarget != 0:
		return 1, SetNotRecorded
	case v.Adjusted == Yes:
		return f.flaggedShare(v), SetNotRecorded
	case v.Adjusted == No:
		return 0, 0
	}
	if at := v.find(AsFound); found && at >= 0 {
		adjusted, known := v.outcome(r)
		if (known && !adjusted) || !beyond(v.Readings[at].Y, r.AdjustAt) {
			return 0, 0
		}
		return f.noFlagShare(v), MaybeSet
	}
	if v.Work {
		if math.IsNaN(r.ResetWork) {
			return (f.flaggedShare(v) + f.noFlagShare(v)) / 2, SetNotRecorded
		}
		return r.ResetWork, SetNotRecorded
	}
	return f.noFlagShare(v), MaybeSet
}
