package worlds

// AgeingOptions say how the analyzers of Ageing age.
type AgeingOptions struct {
	PointsPerYear float64 // lost between calibrations: 0, 0.04, 0.08 or 0.13 are looked at
	Certificates  bool    // calibrations write down what they found
}

// Ageing is a world whose analyzers lose CO2 between calibrations, all at one
// speed, and are put right at each: cells wear. Technicians set by them, so that
// burners are left rich by as much. Technicians have habits: half of them set the
// display 0.1 high, they mind from 0.1 to 0.3 points, and one in eight keeps what
// was found to himself. Burners drift at speeds of their own, by control and vent.
func Ageing(o Options, a AgeingOptions) *Fleet {
	speed := 0.24 - 0.15*a.PointsPerYear // a fifth to a quarter stand outside in each
	return invent(o, &world{id: 4, losesPerYear: a.PointsPerYear, certificates: a.Certificates, habits: true, course: speeds(speed, 0.04)})
}

// speeds is drift at speeds of units' own, about one by control and vent.
func speeds(sd, wanders float64) func(f *Fleet, u *unit) [2]course {
	return func(f *Fleet, u *unit) (out [2]course) {
		r := f.stream(ofCourse, uint64(u.index))
		common := r.NormFloat64()
		for k := range out {
			speed := 0.08*u.leaning(k) + sd*(0.7*common+0.714*r.NormFloat64())
			out[k] = sum(straight(speed), wander(r, f.begins(u), f.ends(), wanders).course())
		}
		return out
	}
}
