package worlds

import (
	"fmt"
	"math"
	"math/rand/v2"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// How people work in every world; shares.
const (
	missedShare    = 0.15 // annual visits that never happen
	foundMissing   = 0.15 // as founds not written down
	leftMissing    = 0.08 // as lefts after an adjustment, where as found is on record
	flagMissing    = 0.03 // adjusted not recorded
	airMissing     = 0.1
	adjustShare    = 0.92 // adjusted where further off than the technician minds
	adjustAnyway   = 0.06
	neighbourShare = 0.12 // visits done by the next area's technicians
	setSD          = 0.04 // how closely the display is set
)

// service is the work at one unit.
type service struct {
	f     *Fleet
	u     *unit
	h     *judge.History
	crews [][]*technician
	r     *rand.Rand
}

// serve sends technicians to a unit until the as-of day.
func serve(f *Fleet, u *unit, h *judge.History, crews [][]*technician) {
	s := &service{f: f, u: u, h: h, crews: crews, r: f.stream(ofVisits, uint64(u.index))}
	start := max(f.from-day.Day(1.2*s.r.Float64()*daysPerYear), u.installed)
	for k := range u.settings {
		u.settings[k] = []setting{{start, 0.1 * s.r.NormFloat64()}}
	}
	if u.installed >= f.from {
		s.visit(u.installed, judge.StartUp)
	}
	for _, day := range s.annual(start) {
		s.calledUntil(day)
		s.visit(day, judge.Annual)
	}
	s.calledUntil(f.opt.AsOf)
	if len(h.Visits) > 0 {
		h.Unit.FirstDay = h.Visits[0].Day
	}
}

// annual are the days of the yearly service.
func (s *service) annual(start day.Day) (days []day.Day) {
	f, u := s.f, s.u
	base := s.r.Float64() * daysPerYear
	low := f.w.lowSeason && u.area == 0
	for y := range f.opt.Years + 1 {
		d := f.from + day.Day(base+float64(y)*daysPerYear+25*s.r.NormFloat64())
		missed := s.r.Float64() < missedShare
		if low && d >= f.opt.AsOf-seasonDays {
			continue
		}
		if missed || d <= max(start, f.from)+60 || d > f.opt.AsOf-day.Day(s.endsBefore()) || len(days) > 0 && d < days[len(days)-1]+60 {
			continue
		}
		days = append(days, d)
	}
	if low {
		day := f.opt.AsOf - 1 - day.Day(s.r.Float64()*(seasonDays-20))
		days = append(days, day)
	}
	return days
}

// calledUntil lets somebody notice a burner that is off, week by week.
func (s *service) calledUntil(until day.Day) {
	if s.f.w.callOuts == nil {
		return
	}
	day := s.f.from
	if n := len(s.h.Visits); n > 0 {
		day = s.h.Visits[n-1].Day
	}
	for day = max(day, s.u.installed) + 7; day < until; day += 7 {
		worst := 0.0
		for _, fire := range Fires() {
			worst = math.Max(worst, math.Abs(s.trueDeviation(fireIndex(fire), day)))
		}
		if s.r.Float64() < s.f.w.callOuts(worst)*7/daysPerYear {
			s.visit(day, judge.CallOut)
		}
	}
}

func (s *service) trueDeviation(fire int, day day.Day) float64 {
	return s.f.co2(s.u, fire, day, s.f.airC(s.u.area, day)) - s.u.target[fire]
}

// who comes.
func (s *service) who(day day.Day) *technician {
	area, at := s.u.area, s.u.index%2
	neighbour := s.r.Float64() < neighbourShare
	other := s.r.Float64() < 0.2
	if s.f.w.lowSeason && s.u.area == 0 {
		return s.crews[0][0] // one round, one hand
	}
	if neighbour {
		area = (area + 1) % len(s.crews)
	}
	if other {
		at = 1 - at
	}
	return s.crews[area][at]
}

// visit reads, decides, sets, and writes down. A burner is set by the display, with
// all that the display is off by on that day, and what it shows is written down.
func (s *service) visit(day day.Day, reason judge.Reason) {
	f, u, r := s.f, s.u, s.r
	t := s.who(day)
	a, air := t.carries(day), f.airC(u.area, day)
	var found [2]float64
	worst := 0.0
	for k := range found {
		found[k] = s.displayed(f.co2(u, k, day, air) + a.reads(day) + NoiseSD*r.NormFloat64())
		worst = math.Max(worst, math.Abs(rounded(found[k])-u.target[k]))
	}
	luck := r.Float64()
	adjusted := reason == judge.StartUp || worst > t.minds+Step/4 && luck < adjustShare || luck < adjustAnyway
	alone := a.low != 0 // everything read low: left alone, to be looked at again
	adjusted = adjusted && !alone
	missed := r.Float64() < s.foundMissing() || t.noFound || reason == judge.StartUp
	if t.selective {
		missed = worst < 0.25
	}
	missed = missed && !alone
	v := judge.Visit{
		ID: fmt.Sprintf("%s-%02d", s.h.Unit.Serial, len(s.h.Visits)+1), Day: day, Minute: -1, Reason: reason, Technician: t.name,
		Analyzer:     a.name,
		OutdoorTempC: math.NaN(), Source: "records", Origin: fmt.Sprintf("records.csv:%d", 100*(u.index+1)+len(s.h.Visits)),
	}
	if r.Float64() >= flagMissing {
		v.AdjustedHigh, v.AdjustedLow = yesNo(adjusted), yesNo(adjusted)
	}
	s.h.Visits = append(s.h.Visits, v)
	if f.w.plain != nil && f.w.plain.dirty {
		defer s.spoil(len(s.h.Visits) - 1)
	}
	airRead := math.NaN()
	if r.Float64() >= airMissing {
		airRead = math.Round(air)
	}
	if !missed {
		s.write(a, judge.AsFound, found, airRead)
	}
	if !adjusted {
		if missed || alone && r.Float64() < 0.7 || r.Float64() < 0.4 {
			s.write(a, judge.AsLeft, found, airRead)
		}
		return
	}
	var left [2]float64
	for k := range left {
		display := u.target[k] + t.sets + setSD*r.NormFloat64()
		f.set(u, k, day, air, display-a.reads(day)-NoiseSD*r.NormFloat64())
		left[k] = s.displayed(display)
	}
	if s.keepsLeft(missed) {
		s.write(a, judge.AsLeft, left, airRead)
	}
}

// displayed is what is written of a measured CO2: in the base world O2 is worked
// out from it first.
func (s *service) displayed(co2 float64) float64 {
	if s.f.w.plain != nil {
		return co2
	}
	return rounded(co2)
}

// endsBefore is how many days before the as-of day the records end.
func (s *service) endsBefore() int32 {
	if s.f.w.plain != nil {
		return plainEndsBefore
	}
	return 0
}

// foundMissing is the share of as founds that are not written down.
func (s *service) foundMissing() float64 {
	if s.f.w.plain != nil {
		return plainFoundMissing
	}
	return foundMissing
}

// keepsLeft says whether what was left is written down: in the base world by
// chance, elsewhere always where what was found is not.
func (s *service) keepsLeft(missed bool) bool {
	if s.f.w.plain != nil {
		return s.r.Float64() >= plainLeftMissing
	}
	return missed || s.r.Float64() >= leftMissing
}

func yesNo(b bool) string {
	if b {
		return judge.Yes
	}
	return judge.No
}

// write adds the readings of a visit at both fires.
func (s *service) write(a *analyzer, condition judge.Condition, co2 [2]float64, airC float64) {
	nan := math.NaN()
	at := len(s.h.Visits) - 1
	v := &s.h.Visits[at]
	for k, fire := range Fires() {
		x := judge.Reading{
			Visit: at, Day: v.Day, Minute: -1, Fire: fire, Condition: condition, Recorded: condition,
			RatePercent: nan, CO2Percent: co2[k], O2Percent: nan, COPPM: nan, COReferenceO2Percent: nan, FlueTempC: nan, AirTempC: airC,
			AirTempAt: "intake", MinutesFiring: nan,
			SupplyPa: nan, ManifoldPa: nan, FanSpeedRPM: nan, FlameSignalUA: nan, DraftPa: nan, CO2Decimals: 1, O2Decimals: -1,
			Analyzer: a.name, Calibrated: a.calibrated(v.Day), Fuel: s.u.registered().name, VentRun: 0, Target: s.u.targetAt(k), Origin: v.Origin,
		}
		if s.f.w.plain != nil {
			x.O2Percent, x.CO2Percent = s.u.fuel.shown(co2[k])
			x.O2Decimals = 1
		}
		s.h.Readings = append(s.h.Readings, x)
	}
	s.order(at)
}

// order puts the readings of a visit by fire, as found before as left.
func (s *service) order(visit int) {
	r := s.h.Readings
	n := len(r)
	if n >= 4 && r[n-4].Visit == visit {
		r[n-3], r[n-2] = r[n-2], r[n-3]
	}
}
