package worlds

import (
	"math"
	"math/rand/v2"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// path is a curve by fortnight; between its points it is straight.
type path struct {
	from  day.Day
	value []float64
}

const fortnight = 14

// walk draws a curve whose points are made one from the other.
func walk(from, until day.Day, next func(at day.Day, last float64) float64) *path {
	p := &path{from: from}
	v := 0.0
	for day := from; day <= until+2*fortnight; day += fortnight {
		p.value = append(p.value, v)
		v = next(day, v)
	}
	return p
}

func (p *path) at(day day.Day) float64 {
	x := float64(day-p.from) / fortnight
	k := min(max(int(x), 0), len(p.value)-2)
	return p.value[k] + (x-float64(k))*(p.value[k+1]-p.value[k])
}

// course of a curve: what lies between two of its days.
func (p *path) course() course {
	return func(set, day day.Day) float64 { return p.at(day) - p.at(set) }
}

// wander is a walk that keeps no direction, with the given spread after a year.
func wander(r *rand.Rand, from, until day.Day, perYear float64) *path {
	sd := perYear * math.Sqrt(fortnight/daysPerYear)
	return walk(from, until, func(_ day.Day, last float64) float64 { return last + sd*r.NormFloat64() })
}

// sum adds courses.
func sum(of ...course) course {
	return func(set, day day.Day) float64 {
		total := 0.0
		for _, c := range of {
			total += c(set, day)
		}
		return total
	}
}

// straight is drift at one speed, points a year.
func straight(perYear float64) course {
	return func(set, day day.Day) float64 { return perYear * years(set, day) }
}

// leaning is where burners of a kind tend to, points a year of a middling drift:
// a fan closes up and runs rich, the more the longer the vent; control by ratio
// runs lean as its offset falls, low fire first (first principles; sizes
// invented).
func (u *unit) leaning(fire int) float64 {
	switch u.control {
	case judge.ControlFixedAir:
		return 0.3 + 0.7*u.vent
	case judge.ControlLinkage:
		return 0.4 + 0.4*u.vent
	}
	return []float64{-0.3, -0.6}[fire] + 0.2*u.vent
}
