package worlds

import "math"

// Selected is a world whose records depend on what was found. Somebody calls the
// more often the further a burner truly is from its target, from 0.3 points on.
// Three technicians of ten write down what they found only where it is bad. Units
// drift at speeds with heavy tails (Student's t of three degrees). The longer a
// vent, and the faster its unit drifts therefore, the more rarely is it on record.
func Selected(o Options) *Fleet {
	return invent(o, &world{
		id: 5, selective: 0.3,
		callOuts:    func(points float64) float64 { return 1.6 * math.Max(0, math.Abs(points)-0.3) / 0.3 },
		ventMissing: func(z float64) float64 { return math.Min(0.08+0.7*z, 0.8) },
		course: func(f *Fleet, u *unit) (out [2]course) {
			r := f.stream(ofCourse, uint64(u.index))
			tails := math.Sqrt(3 / chiSquared(r.NormFloat64, 3))
			common := r.NormFloat64() * tails
			for k := range out {
				speed := 0.12*u.leaning(k) + 0.14*(0.7*common+0.714*tails*r.NormFloat64())
				out[k] = sum(straight(speed), wander(r, f.begins(u), f.ends(), 0.06).course())
			}
			return out
		},
	})
}

// chiSquared draws a sum of squares of so many standard normal numbers.
func chiSquared(normal func() float64, degrees int) float64 {
	sum := 0.0
	for range degrees {
		z := normal()
		sum += z * z
	}
	return sum
}
