package drift

import "math"

// Shares are what the record shows of how technicians decide and set, over the
// fleet, with the counts behind it.
type Shares struct {
	AdjustedOff float64 // adjusted, of as founds beyond AdjustAt whose outcome is known
	Off         int
	AdjustedFar float64 // adjusted, of as founds beyond FarPoints whose outcome is known
	Far         int

	// Of visits that say "adjusted" and wrote down both values, found beyond
	// AdjustAt: where the burner was left elsewhere.
	MovedFlagged float64
	Flagged      int

	// As lefts of adjustments within FarPoints: their mean and their spread about
	// that of whoever set, points.
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

// countShares counts decisions on as founds beyond the two limits, and settings,
// for the fleet and for each technician.
func (f *Fleet) countShares() (Shares, []hand) {
	all, by := hand{}, []hand{{}}
	for u := range f.in.Series {
		for v := range f.in.Series[u].Visits {
			vis := &f.in.Series[u].Visits[v]
			for len(by) <= vis.By {
				by = append(by, hand{})
			}
			all.count(vis, &f.in.Rules)
			if vis.By > 0 && vis.Adjusted != Unknown {
				by[vis.By].count(vis, &f.in.Rules)
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
	return s, by
}

// count adds a visit.
func (h *hand) count(v *Visit, r *Rules) {
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
func (f *Fleet) hand(v *Visit) *hand {
	if v.By > 0 && v.By < len(f.hands) {
		return &f.hands[v.By]
	}
	return &hand{}
}

// mostSure is the largest share of anything that nobody wrote down.
const mostSure = 0.98

// flaggedShare is the probability that "adjusted" without a value means set to the
// target.
func (f *Fleet) flaggedShare(v *Visit) float64 {
	h, s := f.hand(v), &f.shares
	moved := 0
	if s.Flagged > 0 {
		moved = int(math.Round(s.MovedFlagged * float64(s.Flagged)))
	}
	return math.Min(drawn(h.moved, h.flagged, drawn(moved, s.Flagged, f.in.Rules.ResetFlagged)), math.Max(mostSure, f.in.Rules.ResetFlagged))
}

// noFlagShare is the share adjusted where there is no flag: as estimated from
// the visits that say, at most 0.9.
func (f *Fleet) noFlagShare(v *Visit) float64 {
	r := f.in.Rules
	if !math.IsNaN(r.ResetNoFlag) {
		return r.ResetNoFlag
	}
	if f.shares.Off < r.MinForShare {
		return r.DefaultAdjust
	}
	h := f.hand(v)
	return math.Min(drawn(h.adjustedOff, h.off, f.shares.AdjustedOff), 0.9)
}

// farShare is the share adjusted of what is found far out.
func (f *Fleet) farShare(v *Visit) float64 {
	if f.shares.Far < f.in.Rules.MinForShare {
		return f.in.Rules.DefaultAdjust
	}
	h := f.hand(v)
	return drawn(h.adjustedFar, h.far, f.shares.AdjustedFar)
}

// setting is where a burner is left by whoever was at a visit, as displayed, and
// the spread about it, points from the target.
func (f *Fleet) setting(v *Visit) (mean, sd float64) {
	s, sd := &f.shares, f.in.Rules.SetSD
	if s.Set == 0 {
		return 0, sd
	}
	all := s.SetMean * float64(s.Set) / (float64(s.Set) + sharedVisits)
	h := f.hand(v)
	mean = (h.setSum + sharedVisits*all) / (float64(h.set) + sharedVisits)
	return mean, math.Sqrt((float64(s.Set)*s.SetSD*s.SetSD + sharedVisits*sd*sd) / (float64(s.Set) + sharedVisits))
}
