package drift

import "math"

// Shares are what the record shows of how technicians decide and set, over the
// fleet, with the counts behind it.
type Shares struct {
	AdjustedOff float64 // adjusted, of as-found readings beyond AdjustAt whose outcome is known
	Off         int
	AdjustedFar float64 // adjusted, of as-found readings beyond FarPoints whose outcome is known
	Far         int

	// Of visits that say "adjusted" and wrote down both values, found beyond
	// AdjustAt: where the burner was left elsewhere.
	MovedFlagged float64
	Flagged      int

	// As-left readings of adjustments within FarPoints: their mean and their spread about that
	// of whoever set, points.
	SetMean, SetSD float64
	Set            int
}

// hand is what the record shows of one technician, by visits that say whether the
// burner was adjusted: where nothing says so, who wrote down both values depends on
// whether it was, and in another way from technician to technician.
type hand struct {
	adjustedOff, off   int
	adjustedFar, far   int
	moved, flagged     int
	set                int
	setSum, setSquares float64
}

// sharedVisits is how many visits of everybody stand beside a technician's own: a
// share of few visits is drawn to the fleet's, and the fleet's to what is taken
// where nothing is on record.
const sharedVisits = 20

// technicians say with which probability a burner was set at a visit, and to what,
// where the record leaves it open: by whoever was there, drawn to everybody's.
type technicians struct {
	rules  Config
	shares Shares
	hands  []hand // by number
}

// newTechnicians counts decisions on as-found readings beyond the two limits, and
// settings, for the fleet and for each technician.
func newTechnicians(series []Series, rules Config) technicians {
	all, by := hand{}, []hand{{}}
	for u := range series {
		for v := range series[u].Visits {
			vis := &series[u].Visits[v]
			for len(by) <= vis.By {
				by = append(by, hand{})
			}
			all.count(vis, &rules)
			if vis.By > 0 && vis.Adjusted != Unknown {
				by[vis.By].count(vis, &rules)
			}
		}
	}
	s := Shares{
		AdjustedOff: share(all.adjustedOff, all.off), Off: all.off, AdjustedFar: share(all.adjustedFar, all.far), Far: all.far,
		MovedFlagged: share(all.moved, all.flagged), Flagged: all.flagged, SetMean: all.setSum / float64(all.set), Set: all.set,
	}
	within := all.setSquares - all.setSum*s.SetMean
	if all.set > 0 {
		for _, h := range by {
			if h.set > 0 {
				d := h.setSum/float64(h.set) - s.SetMean
				within -= float64(h.set) * d * d
			}
		}
	}
	s.SetSD = math.Sqrt(math.Max(within, 0) / float64(all.set))
	return technicians{rules, s, by}
}

// count adds a visit.
func (h *hand) count(v *Visit, r *Config) {
	found, left := v.find(AsFound), v.find(AsLeft)
	adjusted, known := v.outcome(*r)
	if found >= 0 && known {
		y, did := v.Readings[found].Y, 0
		if adjusted {
			did = 1
		}
		if beyond(y, r.AdjustAt) {
			h.off, h.adjustedOff = h.off+1, h.adjustedOff+did
		}
		if beyond(y, r.FarPoints) {
			h.far, h.adjustedFar = h.far+1, h.adjustedFar+did
		}
	}
	if left < 0 || !adjusted {
		return
	}
	y := v.Readings[left].Y
	if found >= 0 && v.Adjusted == Yes && beyond(v.Readings[found].Y, r.AdjustAt) {
		h.flagged++
		if beyond(v.Readings[found].Y-y, r.SameWithin) {
			h.moved++
		}
	}
	if v.Readings[left].Use == ForFit && !beyond(y, r.FarPoints) {
		h.set++
		h.setSum, h.setSquares = h.setSum+y, h.setSquares+y*y
	}
}

// drawn is a share of n drawn to another by sharedVisits.
func drawn(k, n int, to float64) float64 {
	return (float64(k) + sharedVisits*to) / (float64(n) + sharedVisits)
}

// hand is what is known of whoever was at a visit.
func (t *technicians) hand(v *Visit) *hand {
	if v.By > 0 && v.By < len(t.hands) {
		return &t.hands[v.By]
	}
	return &hand{}
}

// mostSure is the largest share of anything that nobody wrote down.
const mostSure = 0.98

// resetShare is the probability that a visit without an as-left reading ended with the
// burner set to its target.
func (t *technicians) resetShare(v *Visit, found bool) (float64, Mark) {
	r := t.rules
	switch {
	case v.During&^ChangeTarget != 0:
		return 1, SetNotRecorded
	case v.Adjusted == Yes:
		return t.flaggedShare(v), SetNotRecorded
	case v.Adjusted == No:
		return 0, 0
	}
	if at := v.find(AsFound); found && at >= 0 {
		adjusted, known := v.outcome(r)
		if (known && !adjusted) || !beyond(v.Readings[at].Y, r.AdjustAt) {
			return 0, 0
		}
		return t.noFlagShare(v), MaybeSet
	}
	if v.Work {
		if math.IsNaN(r.ResetWork) {
			return (t.flaggedShare(v) + t.noFlagShare(v)) / 2, SetNotRecorded
		}
		return r.ResetWork, SetNotRecorded
	}
	return t.noFlagShare(v), MaybeSet
}

// flaggedShare is the probability that "adjusted" without a value means set to the
// target.
func (t *technicians) flaggedShare(v *Visit) float64 {
	h, s := t.hand(v), &t.shares
	moved := 0
	if s.Flagged > 0 {
		moved = int(math.Round(s.MovedFlagged * float64(s.Flagged)))
	}
	return math.Min(drawn(h.moved, h.flagged, drawn(moved, s.Flagged, t.rules.ResetFlagged)), math.Max(mostSure, t.rules.ResetFlagged))
}

// noFlagShare is the share adjusted where there is no flag: as estimated from
// the visits that say, at most 0.9.
func (t *technicians) noFlagShare(v *Visit) float64 {
	r := t.rules
	if !math.IsNaN(r.ResetNoFlag) {
		return r.ResetNoFlag
	}
	if t.shares.Off < r.MinForShare {
		return r.DefaultAdjust
	}
	h := t.hand(v)
	return math.Min(drawn(h.adjustedOff, h.off, t.shares.AdjustedOff), 0.9)
}

// farShare is the share adjusted of what is found far out.
func (t *technicians) farShare(v *Visit) float64 {
	if t.shares.Far < t.rules.MinForShare {
		return t.rules.DefaultAdjust
	}
	h := t.hand(v)
	return drawn(h.adjustedFar, h.far, t.shares.AdjustedFar)
}

// setting is where a burner is left by whoever was at a visit, as displayed, and
// the spread about it, points from the target.
func (t *technicians) setting(v *Visit) (mean, sd float64) {
	s, sd := &t.shares, t.rules.SetSD
	if s.Set == 0 {
		return 0, sd
	}
	all := s.SetMean * float64(s.Set) / (float64(s.Set) + sharedVisits)
	h := t.hand(v)
	mean = (h.setSum + sharedVisits*all) / (float64(h.set) + sharedVisits)
	return mean, math.Sqrt((float64(s.Set)*s.SetSD*s.SetSD + sharedVisits*sd*sd) / (float64(s.Set) + sharedVisits))
}
