package drift

import "math"

// contradicted is how many standard deviations a last reading must lie from what
// was to be expected before it to count as unconfirmed: at three, typing errors
// at their usual share are no longer much rarer than so large a chance. A reading that
// a cut isolates, or that opens its segment though nothing says the burner was set to
// it, is doubted too: believing all but readings behind a cut filled the first
// twentieth of the list with typing errors.
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

// lastReading is the last reading of a unit, beside what the visits before it imply.
type lastReading struct {
	p *Predictor
	u int
	a state
}

// weighed returns the reading's own state alone where it lies near that. Else it adds the
// states in which the reading is wrong, or the unit has jumped, and leaves its own the
// weight of being neither.
func (l lastReading) weighed() ([]base, *UnconfirmedLast) {
	p, u, a := l.p, l.u, l.a
	list, cut := p.history(u).expectation(a.reading)
	if len(list) == 0 {
		return []base{p.base(u, a)}, nil
	}
	p.without = a.reading
	rest := make([]base, len(list))
	for i := range list {
		rest[i] = p.base(u, list[i])
	}
	jumped := p.base(u, a)
	p.without = -1
	calm := p.base(u, a)
	d, jump := l.weigh(rest)
	if !cut && !(math.Abs(a.y-d.Expected) > contradicted*d.SD) {
		return []base{calm}, nil
	}
	for i := range rest {
		rest[i].weight, rest[i].confirmed = a.weight*d.Wrong*rest[i].weight, typedWrong
	}
	calm.weight, calm.confirmed = a.weight*(1-d.Wrong), keptReading
	if len(calm.xe) > 0 && calm.ee > 0 { // the difference that ends at it counts
		jumped.weight, jumped.confirmed = a.weight*jump, keptReading
		calm.weight -= jumped.weight
		rest = append(rest, jumped)
	}
	return append(rest, calm), d
}

// weigh weighs an unconfirmed last reading: no jump, a typing error, or a real
// jump that whoever read it left as it was, with the probability of the last.
func (l lastReading) weigh(rest []base) (d *UnconfirmedLast, jumped float64) {
	p, u, a := l.p, l.u, l.a
	f := p.fit.fleet
	r := f.in.Rules
	point := Point{T: a.t, Level: a.level, Analyzer: int(a.an), Period: int(a.per), Made: true}
	adjusted := f.technicians.farShare(&f.in.Series[u].Visits[f.vis[a.reading]])
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
