package worlds

import (
	"math"

	"fluedrift/model/day"
)

// SharedBySite is a world in which what moves a burner moves its neighbours: the
// units of a site drift at one speed and wander together (dust, chimney, supply
// pressure), with little of their own. The gas is richer in winter by up to one
// hundredth, at a time of each area's own, and from each October on an area's gas
// is another by a hundredth. One hundredth of the Wobbe index is about 0.1 points
// of CO2 (first principles). Both are part of the true state.
func SharedBySite(o Options) *Fleet {
	return invent(o, &world{id: 3, gas: seasonalGas, course: func(f *Fleet, u *unit) (out [2]course) {
		site := f.stream(ofSite, uint64(u.site))
		speed, from := site.NormFloat64(), f.from-11*366
		together := wander(site, from, f.ends(), 0.10).course()
		r := f.stream(ofCourse, uint64(u.index))
		for k := range out {
			own := 0.03*u.leaning(k) + 0.12*speed + 0.02*r.NormFloat64()
			out[k] = sum(straight(own), together, wander(r, f.begins(u), f.ends(), 0.03).course())
		}
		return out
	}})
}

// seasonalGas is by how much the gas of an area is richer than usual.
func seasonalGas(f *Fleet, area int, day day.Day) float64 {
	own := f.stream(ofArea, uint64(area))
	swing, late := 0.004+0.006*own.Float64(), 30*own.NormFloat64()
	season := swing * math.Cos(2*math.Pi*(float64(day.Time().YearDay())-15-late)/daysPerYear)
	gasYear := (day + 92).Time().Year() // from 1 October
	return season + 0.01*f.normal(ofArea, uint64(area), uint64(gasYear))
}
