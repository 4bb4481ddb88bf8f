package watch

import "fluedrift/model/judge"

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
