package worlds

import (
	"math"

	"fluedrift/model/day"
)

// Saturating is a world whose settings creep from where they are left to a place
// of the unit's own and stay there: seals, springs and seats that settle. Half of
// the way is done within five months on the average. The place lies the same
// number of points from every setting, so that a unit that went far goes far
// again.
func Saturating(o Options) *Fleet {
	return invent(o, &world{id: 2, course: func(f *Fleet, u *unit) (out [2]course) {
		r := f.stream(ofCourse, uint64(u.index))
		common := r.NormFloat64()
		for k := range out {
			place := 0.16*u.leaning(k) + 0.34*(0.7*common+0.714*r.NormFloat64())
			pace := 0.6 * math.Exp(0.4*r.NormFloat64())
			creep := func(set, day day.Day) float64 { return place * (1 - math.Exp(-years(set, day)/pace)) }
			out[k] = sum(creep, near(f, u, r.NormFloat64, 0.04, 0.5))
		}
		return out
	}})
}

// near moves about one place: a curve with the given spread that forgets itself
// in so many years.
func near(f *Fleet, u *unit, normal func() float64, sd, forgets float64) course {
	keep := math.Exp(-fortnight / daysPerYear / forgets)
	p := walk(f.begins(u), f.ends(), func(_ day.Day, last float64) float64 {
		return keep*last + sd*math.Sqrt(1-keep*keep)*normal()
	})
	return p.course()
}
