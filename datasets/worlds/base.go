package worlds

import (
	"math"
	"math/rand/v2"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// BaseOptions say how the records of Base are kept.
type BaseOptions struct {
	// Dirty: 2 of 100 readings have a gas typed wrong, 3 of 100 as-found readings repeat
	// the record before, 1 of 100 units is registered with the other fuel, and 10 of 100
	// visits were written down without gas values.
	Dirty bool
}

// Base is the world the drift model describes, at its measured reference sizes:
// speeds by vent and age, slopes and wandering of units' own, analyzers of
// constant bias, a quarter of as founds and a seventh of as lefts missing, limits
// of 0.2 points. The biases have no mean over the fleet: an error of all analyzers
// alike shows in no record and would move every figure by chance. O2 is measured and shown in tenths; CO2 is worked out from it by
// the fuel selected and shown in tenths. Its signs and sizes are an exercise in
// algebra and carry no physics.
func Base(o Options, b BaseOptions) *Fleet {
	if o.Years == 0 {
		o.Years = 10
	}
	return invent(o, &world{id: 7, plain: &plain{dirty: b.Dirty}, course: plainCourses})
}

// Sizes of the base world, points, years and kelvin.
const (
	plainRate, plainVentRate, plainAgeRate = -0.010, -0.100, -0.006
	plainPerKelvin                         = -0.010
	plainSlopeSD, plainWanderSD            = 0.07, 0.07
	plainAnalyzerSD                        = 0.07
	plainActionPoints                      = 0.2
	plainEndsBefore                        = 50 // days
	plainMinds                             = 0.1
	plainAreas                             = 25
	plainFoundMissing, plainLeftMissing    = 0.25, 0.15
	typedShare, copiedShare, labelShare    = 0.02, 0.03, 0.01
	emptyShare                             = 0.10
)

// plain is what the base world has of its own.
type plain struct{ dirty bool }

// air is what the temperature of the air adds, points.
func (p *plain) air(airC float64) float64 {
	if p == nil {
		return 0
	}
	return plainPerKelvin * (airC - 10)
}

// makePlain draws a unit of the base world.
func (u *unit) makePlain(r *rand.Rand, f *Fleet) {
	u.control, u.line, u.area = controls[0].name, controls[0].line, u.site%f.areas
	u.fuel, u.target = naturalGas, [2]float64{controls[0].high, controls[0].low}
	if r.Float64() < 0.15 {
		u.fuel, u.target = propane, [2]float64{controls[0].high + propaneAbove, controls[0].low + propaneAbove}
	}
	u.vent = math.Min(math.Exp(0.3*r.NormFloat64()-0.1), 4)
	u.act = plainActionPoints
	u.wrongLabel = r.Float64() < labelShare && f.w.plain.dirty
}

func plainCourses(f *Fleet, u *unit) (out [2]course) {
	r := f.stream(ofCourse, uint64(u.index))
	common := r.NormFloat64()
	for k := range out {
		speed := plainRate + plainVentRate*u.vent + plainSlopeSD*(0.775*common+0.632*r.NormFloat64())
		older := func(set, day day.Day) float64 {
			a, b := years(u.installed, set), years(u.installed, day)
			return plainAgeRate * (b*b - a*a) / 2
		}
		out[k] = sum(straight(speed), older, wander(r, f.begins(u), f.ends(), plainWanderSD).course())
	}
	return out
}

// shown gives the two gases as an analyzer shows a CO2: O2 in tenths, and CO2
// worked out from the O2 it measured.
func (g gas) shown(co2 float64) (o2Percent, co2Percent float64) {
	return rounded(airO2 * (1 - co2/g.co2Max)), rounded(co2)
}

// airO2 is the oxygen of dry air as most analyzers have it, % by volume.
const airO2 = 20.9

// spoil does to the records of a visit what people do.
func (s *service) spoil(visit int) {
	r, h := s.f.stream(ofSpoilt, uint64(s.u.index), uint64(visit)), s.h
	from := len(h.Readings)
	for from > 0 && h.Readings[from-1].Visit == visit {
		from--
	}
	if r.Float64() < emptyShare {
		h.Readings = h.Readings[:from]
		return
	}
	copied := r.Float64() < copiedShare
	for i := from; i < len(h.Readings); i++ {
		x := &h.Readings[i]
		if copied && x.Condition == judge.AsFound {
			if last := s.lastOf(x.Fire, from); last != nil {
				x.CO2Percent, x.O2Percent, x.AirTempC = last.CO2Percent, last.O2Percent, last.AirTempC
			}
		}
		if r.Float64() < typedShare {
			at := &x.CO2Percent
			if r.Float64() < 0.5 {
				at = &x.O2Percent
			}
			*at = mistyped(r, *at)
		}
	}
}

// lastOf is the newest reading of a fire before a place.
func (s *service) lastOf(fire judge.Fire, before int) *judge.Reading {
	for i := before - 1; i >= 0; i-- {
		if s.h.Readings[i].Fire == fire {
			return &s.h.Readings[i]
		}
	}
	return nil
}

// mistyped puts a wrong digit: mostly the tenths, else the whole.
func mistyped(r *rand.Rand, v float64) float64 {
	if r.Float64() < 0.6 {
		return rounded(math.Floor(v) + 0.1*float64(r.IntN(10)))
	}
	return rounded(v + float64(1+r.IntN(2))*float64(2*r.IntN(2)-1))
}
