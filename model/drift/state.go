package drift

import "math"

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

// history is a unit's record as it is walked back to the states that the one of today
// is conditioned on. Sigma is the noise of a reading.
type history struct {
	f     *Fleet
	s     *Series
	u     int
	sigma float64
}

func newHistory(f *Fleet, u int, sigma float64) history {
	return history{f, &f.in.Series[u], u, sigma}
}

// visit is that of reading r.
func (h history) visit(r int) *Visit { return &h.s.Visits[h.f.vis[r]] }

// reading is what was recorded as reading r.
func (h history) reading(r int) *Reading { return &h.visit(r).Readings[h.f.idx[r]] }

// readingState makes a conditioning state of reading r.
func (h history) readingState(r int, weight float64) state {
	f, v := h.f, h.visit(r)
	return state{
		weight: weight, reading: r, t: f.t[r], y: f.y[r] + v.TargetStep, w: f.w[r],
		an: f.an[r], per: f.per[r], set: f.set[r], level: v.Readings[f.idx[r]].Level,
	}
}

// eitherState makes the conditioning states of reading r: one, or two where the record states
// two values for it.
func (h history) eitherState(r int, weight float64) []state {
	x := h.reading(r)
	a := h.readingState(r, weight*(1-x.OtherP))
	if x.OtherP == 0 {
		return []state{a}
	}
	other := a
	other.weight, other.y = weight*x.OtherP, a.y+x.Other-x.Y
	return []state{a, other}
}

// targetState stands for a setting to the target at a visit, not recorded.
func (h history) targetState(v *Visit, weight, sd float64) state {
	a := state{
		weight: weight, reading: -1, t: v.T, y: v.TargetStep, w: 1 + (sd/h.sigma)*(sd/h.sigma),
		an: int32(max(v.Analyzer, -1)), per: int32(max(v.Period, -1)), set: v.T, level: v.Level,
	}
	if a.level == nil && len(v.Readings) > 0 {
		a.level = v.Readings[0].Level
	}
	return a
}

// settingState stands for a setting that was made as whoever was there makes them.
func (h history) settingState(v *Visit, weight float64) state {
	mean, sd := h.f.technicians.setting(v)
	a := h.targetState(v, weight, sd)
	a.y += mean
	return a
}

// What a record leaves open is decided by no rule but by shares: at a visit where the
// burner may have been set and nothing was written down, the state is "set there" with
// the probability of technicians.resetShare and "as it was" with the rest, and the walk goes on
// backwards with that rest. It ends at the first reading, or at the install day. The
// weights of the states add up to 1.

// states walks the visits backwards until the state of today is decided, sharing the
// weight wherever the record leaves open what was done.
func (h history) states() (out []state, marks Mark) { return h.statesUntil(len(h.s.Visits) - 1) }

// statesUntil does so from the visit newest on.
func (h history) statesUntil(newest int) (out []state, marks Mark) {
	f, first := h.f, int(h.f.start[h.u])
	weight, r := 1.0, int(f.start[h.u+1])-1
	for r >= first && int(f.vis[r]) > newest {
		r--
	}
	for at := newest; at >= 0; at-- {
		v := &h.s.Visits[at]
		found, left := -1, -1
		for ; r >= first && int(f.vis[r]) == at; r-- {
			switch {
			case f.gone[r]:
			case v.Readings[f.idx[r]].Kind == AsLeft:
				left = r
			default:
				found = r
			}
		}
		if left >= 0 {
			return append(out, h.leftStates(left, weight)...), marks
		}
		reset, mark := f.technicians.resetShare(v, found >= 0)
		marks |= mark
		if reset > 0 {
			out = append(out, h.settingState(v, weight*reset))
			weight *= 1 - reset
		}
		if weight == 0 {
			return out, marks
		}
		if found >= 0 {
			return append(out, h.eitherState(found, weight)...), marks
		}
		if v.Before&^ChangeTarget != 0 {
			return append(out, h.targetState(v, weight, 2*f.in.Rules.SetSD)), marks | ChangedSince
		}
	}
	if len(out) == 0 {
		marks |= NoRecord
	}
	return append(out, h.startState(weight)), marks
}

// startState stands for the setting before all records.
func (h history) startState(weight float64) state {
	start := Visit{T: h.s.Start, Analyzer: -1, Period: -1}
	if math.IsNaN(start.T) && len(h.s.Visits) > 0 {
		start.T = h.s.Visits[0].T
	}
	a := h.targetState(&start, weight, h.f.in.Rules.SetSD)
	a.beforeRecords = true
	return a
}

// leftStates make the state from an as-left reading. One that was judged unfit for the fit
// contradicts the setting it should show: it was written down wrongly, and the burner
// stands at its target, or the burner was left so.
func (h history) leftStates(r int, weight float64) []state {
	x, share := h.reading(r), h.f.in.Rules.ResetUnconfirmed
	if x.OtherP > 0 {
		return h.eitherState(r, weight)
	}
	if x.Use != ForState || share == 0 {
		return []state{h.readingState(r, weight)}
	}
	reset := h.settingState(h.visit(r), weight*share)
	kept := h.readingState(r, weight*(1-share))
	reset.confirmed, kept.confirmed = typedWrong, keptReading
	return []state{reset, kept}
}

// expectation is what a last reading can be compared with, nothing where it lies near
// that: the reading before it in its segment, a cut between them or not; or, where it is
// the first of its segment though the record does not say that the burner was set to it,
// the state the visits before left.
func (h history) expectation(r int) (list []state, cut bool) {
	f := h.f
	if m := h.before(r); m >= 0 {
		list = []state{h.readingState(m, 1)}
	} else {
		list = h.stateBefore(r)
	}
	y := 0.0
	for _, a := range list {
		y += a.weight * a.y
	}
	if f.cut[r] || beyond(f.y[r]+h.visit(r).TargetStep-y, f.in.Rules.FarPoints) {
		return list, f.cut[r]
	}
	return nil, false
}

// stateBefore is the state the visits before left, where a reading that opens a segment
// can be compared with it.
func (h history) stateBefore(r int) []state {
	v, x := h.visit(r), h.reading(r)
	if h.unfit(r) || v.Before&^ChangeTarget != 0 {
		return nil
	}
	if adjusted, known := v.outcome(h.f.in.Rules); x.Kind == AsLeft && (adjusted || !known || v.During != 0) {
		return nil
	}
	list, marks := h.statesUntil(int(h.f.vis[r]) - 1)
	if marks&(NoRecord|ChangedSince) != 0 {
		return nil
	}
	for _, a := range list {
		if a.beforeRecords || math.IsNaN(a.t) || a.reading >= 0 && h.unfit(a.reading) {
			return nil
		}
	}
	return list
}

// unfit says whether a reading was judged good for the state of today only: it
// is no yardstick for another, and is unconfirmed itself.
func (h history) unfit(r int) bool { return h.reading(r).Use == ForState }

// before returns the reading before one in its segment, -1 where it is the first.
func (h history) before(r int) int {
	f := h.f
	for m := r - 1; m >= int(f.start[h.u]) && f.seg[m] == f.seg[r]; m-- {
		if !f.gone[m] {
			return m
		}
	}
	return -1
}
