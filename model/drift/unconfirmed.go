package drift

import "math"

// contradicted is how many standard deviations a last reading must lie from what
// was to be expected before it to count as unconfirmed: at three, typing errors
// at their usual share are no longer much rarer than so large a chance.
const contradicted = 3

// UnconfirmedLast is a last reading that the ones before it contradict: the reading is
// wrong or the unit is. Every such unit belongs on the list of readings to
// verify, by the larger of its two probabilities.
type UnconfirmedLast struct {
	Visit        int     // index into Series.Visits
	Y            float64 // as recorded
	Expected, SD float64 // from the rest, for a reading with that analyzer
	Wrong        float64 // probability that it was typed wrongly
}

// unconfirmed adds the states in which a last reading is wrong, or the unit has
// jumped, where it lies far from what was to be expected before it, and leaves
// the state the weight of being neither.
func (o *Predictive) unconfirmed(u int, a state) {
	p := o.p
	list, cut := p.fit.fleet.expectation(u, a.reading, p.fit.Sigma)
	if len(list) == 0 {
		o.parts = append(o.parts, p.base(u, a))
		return
	}
	p.without = a.reading
	rest := make([]base, len(list))
	for i := range list {
		rest[i] = p.base(u, list[i])
	}
	jumped := p.base(u, a)
	p.without = -1
	calm := p.base(u, a)
	d, jump := p.weigh(u, rest, a)
	if !cut && !(math.Abs(a.y-d.Expected) > contradicted*d.SD) {
		o.parts = append(o.parts, calm)
		return
	}
	o.Last = d
	o.Marks |= LastUnconfirmed
	for i := range rest {
		rest[i].weight, rest[i].confirmed = a.weight*d.Wrong*rest[i].weight, typedWrong
	}
	calm.weight, calm.confirmed = a.weight*(1-d.Wrong), keptReading
	if len(calm.xe) > 0 && calm.ee > 0 { // the difference that ends at it counts
		jumped.weight, jumped.confirmed = a.weight*jump, keptReading
		calm.weight -= jumped.weight
		rest = append(rest, jumped)
	}
	o.parts = append(append(o.parts, rest...), calm)
}

// expectation is what a last reading can be held against, nothing where it lies
// near that: the reading before it in its segment, a cut between them or not; or,
// where it is the first of its segment though the record does not say that the
// burner was set to it, the state the visits before left.
func (f *Fleet) expectation(u, r int, sigma float64) (list []state, cut bool) {
	if m := f.before(u, r); m >= 0 {
		list = []state{f.readingState(u, m, 1)}
	} else {
		list = f.stateBefore(u, r, sigma)
	}
	y := 0.0
	for _, a := range list {
		y += a.weight * a.y
	}
	if f.cut[r] || beyond(f.y[r]+f.in.Series[u].Visits[f.vis[r]].TargetStep-y, f.in.Rules.FarPoints) {
		return list, f.cut[r]
	}
	return nil, false
}

// stateBefore is the state the visits before left, where a reading that opens a
// segment can be held against it.
func (f *Fleet) stateBefore(u, r int, sigma float64) []state {
	at := int(f.vis[r])
	v := &f.in.Series[u].Visits[at]
	x := &v.Readings[f.idx[r]]
	if f.unfit(u, r) || v.Before&^ChangeTarget != 0 {
		return nil
	}
	if adjusted, known := v.outcome(f.in.Rules); x.Kind == AsLeft && (adjusted || !known || v.During != 0) {
		return nil
	}
	list, marks := f.statesUntil(u, at-1, sigma)
	if marks&(NoRecord|ChangedSince) != 0 {
		return nil
	}
	for _, a := range list {
		if a.beforeRecords || math.IsNaN(a.t) || a.reading >= 0 && f.unfit(u, a.reading) {
			return nil
		}
	}
	return list
}

// unfit says whether a reading was judged good for the state of today only: it
// is no yardstick for another, and is unconfirmed itself.
func (f *Fleet) unfit(u, r int) bool {
	return f.in.Series[u].Visits[f.vis[r]].Readings[f.idx[r]].Use == ForState
}

// before returns the reading before one in its segment, -1 where it is the first.
func (f *Fleet) before(u, r int) int {
	for m := r - 1; m >= int(f.start[u]) && f.seg[m] == f.seg[r]; m-- {
		if !f.gone[m] {
			return m
		}
	}
	return -1
}

// weigh weighs an unconfirmed last reading: no jump, a typing error, or a real
// jump that whoever read it left as it was, with the probability of the last.
func (p *Predictor) weigh(u int, rest []base, a state) (d *UnconfirmedLast, jumped float64) {
	f := p.fit.fleet
	r := f.in.Rules
	point := Point{T: a.t, Level: a.level, Analyzer: int(a.an), Period: int(a.per), Made: true}
	adjusted := f.farShare(&f.in.Series[u].Visits[f.vis[a.reading]])
	d = &UnconfirmedLast{Visit: int(f.vis[a.reading]), Y: a.y}
	var none, typed, jump, square float64
	for i := range rest {
		one, w := p.onDay(u, &rest[i], &point), rest[i].weight
		p.reading(&one, &rest[i], &point)
		v0, delta := one.readingVar, a.y-one.readingMean
		calm := math.Exp(-r.JumpsPerYear * (a.t - rest[i].t))
		none += w * (1 - r.TypingShare) * calm * density(delta, v0)
		typed += w * r.TypingShare * density(delta, v0+r.TypingSD*r.TypingSD)
		jump += w * (1 - adjusted) * (1 - calm) * density(delta, v0+r.JumpSD*r.JumpSD)
		d.Expected += w * one.readingMean
		square += w * (v0 + one.readingMean*one.readingMean)
	}
	d.SD = math.Sqrt(square - d.Expected*d.Expected)
	all := none + typed + jump
	d.Wrong = typed / all
	return d, jump / all
}
