package worlds

import (
	"math"

	"fluedrift/model/day"
)

// StickSlip is a world whose settings stay where they are left and slip now and
// then: play and friction in linkages, dampers and valves. A unit slips once in a
// year on the average, some hardly ever, some every few months; a slip is 0.12
// points at least, 0.32 on the average, goes the way burners of its
// control go in four cases of five, and moves both fires in three of five.
func StickSlip(o Options) *Fleet {
	return invent(o, &world{id: 1, course: slips})
}

// slip is one of them.
type slip struct {
	day    day.Day
	points [2]float64
}

func slips(f *Fleet, u *unit) [2]course {
	r := f.stream(ofCourse, uint64(u.index))
	perYear := 0.72 * math.Exp(0.7*r.NormFloat64())
	var all []slip
	for at := float64(f.begins(u)); at < float64(f.ends()); at += r.ExpFloat64() / perYear * daysPerYear {
		s := slip{day: day.Day(at)}
		size, way := 0.12+0.2*r.ExpFloat64(), 1.0
		if r.Float64() < 0.2 {
			way = -1
		}
		both, one := r.Float64() < 0.6, r.IntN(2)
		for k := range s.points {
			if both || k == one {
				s.points[k] = way * math.Copysign(size, u.leaning(k)) * (0.6 + 0.8*r.Float64())
			}
		}
		all = append(all, s)
	}
	of := func(k int) course {
		return func(set, day day.Day) float64 {
			moved := 0.0
			for _, s := range all {
				if s.day > set && s.day <= day {
					moved += s.points[k]
				}
			}
			return moved
		}
	}
	return [2]course{of(0), of(1)}
}
