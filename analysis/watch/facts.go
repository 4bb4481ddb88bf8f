package watch

import (
	"fluedrift/analysis"
	"fluedrift/model/judge"
)

// facts is all that the grounds ask about one unit.
type facts struct {
	h          *judge.History
	rules      Config
	fires      []FireLine
	plan       Plan
	forecast   *analysis.Forecast
	benefit    analysis.Benefit // of a visit on the as-of day
	judged     *judge.Judgement
	answer     *judge.Answer // in force
	lapsed     *judge.Answer // the newest, where it no longer stands and nobody came since
	unused     []UnusedCO    // CO on records that could not be used, not settled since
	unrecorded []Unrecorded  // of the last routine visit
}

// unread reports whether nothing was read at any fire of a unit in the field.
// Nothing then says where its burner stands: it has no chance of being out of
// limits, and no ground that says so holds.
func (x *facts) unread() bool {
	return x.h.Unit.InRegister && !anyFire(x, func(f *FireLine) bool { return f.read() })
}

// lastVisit is the newest visit in the field up to the as-of day, nil without
// one.
func (x *facts) lastVisit() (last *judge.Visit) {
	for i := range x.h.Visits {
		v := &x.h.Visits[i]
		if v.Day <= x.rules.AsOf && v.Reason != judge.FactoryTest && !ofEarlierInstall(x.h, v.Day) {
			last = v
		}
	}
	return last
}

// lastVisitWithoutGas is the last visit where nobody wrote down CO2 or O2 on its
// day, else nil.
func (x *facts) lastVisitWithoutGas() *judge.Visit {
	v := x.lastVisit()
	if v == nil {
		return nil
	}
	for i := range x.h.Readings {
		if r := &x.h.Readings[i]; r.Day == v.Day && hasGas(r) {
			return nil
		}
	}
	return v
}

// stillSo reports whether a doubt about the fuel is open and concerns today's
// fuel and the newest as left of its fire, those apart whose gas is in doubt.
func (x *facts) stillSo(d judge.Finding) bool {
	last := &x.h.Readings[d.Readings[len(d.Readings)-1]]
	if !d.Open || last.Fuel != x.h.Unit.Fuel || last.Day > x.rules.AsOf {
		return false
	}
	newest := last
	fieldReadings(x.h, x.rules.AsOf, func(r *judge.Reading) {
		if r.Condition == judge.AsLeft && hasGas(r) && !x.inDoubt(r) && sameFire(r.Fire, r.RatePercent, last.Fire, last.RatePercent) {
			newest = r
		}
	})
	return newest == last
}
