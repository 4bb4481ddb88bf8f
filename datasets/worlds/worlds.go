// Package worlds invents fleets whose burners do not drift as the drift model
// assumes, with the truth of every unit's path, to hold estimates against. It is
// for tests only: no command uses it.
//
// Each world plants one thing on top of a common one (frame.go, visits.go):
//
//   - StickSlip: settings that stay where they are and slip now and then.
//   - Saturating: settings that creep to a place of their own and stay there.
//   - SharedBySite: drift that units of a site have in common, a gas that changes
//     over the year, and steps of an area from one gas year to the next.
//   - Ageing: analyzers that lose CO2 between calibrations.
//   - Selected: records that depend on what was found.
//   - LowSeason: an analyzer that reads low for one season.
//
// Base is the drift model's own world, with records as others keep them. Demo is
// the fleet of the command demo, read perfectly and with its truth (demo.go).
//
// What holds of the trade comes from first principles: what air and gas do to
// the excess air of a burner by its control, and what excess air does to CO2. The
// sizes of everything are invented, and no equation of a fit is used here.
//
// The same options give the same fleet. The package knows no clock and reads no
// file.
package worlds

import (
	"math"
	"math/rand/v2"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Options say which fleet of a world to invent. Zero fields take what is named.
type Options struct {
	Units int     // 600
	Years int     // of records before the as-of day; 12
	Seed  uint64  // 1
	AsOf  day.Day // days from 1970-01-01; 2026-03-02
}

// Limits of every unit at either fire, points of CO2 about its target: what a
// technician must leave, and what justifies an early visit. Recorded values are
// rounded to Step and carry the noise NoiseSD.
const (
	SettingPoints = 0.2
	ActionPoints  = 0.4
	NoiseSD       = 0.06
	Step          = 0.1
	WeatherSD     = 2 // of a day about the season, K
)

// Fleet is an invented fleet: its records, and what truly was.
type Fleet struct {
	// Histories are the records of the units, unit i at place i.
	Histories []judge.History
	// Certificates are what calibrations found, by analyzer and day.
	Certificates []Certificate

	opt       Options
	w         *world
	from      day.Day // first day of the records
	units     []*unit
	areas     int
	analyzers []*analyzer
	step      []int // units of LowSeason whose last reading is low
}

// Certificate is what a calibration found an analyzer to be off by before it was
// set right, points of CO2.
type Certificate struct {
	Analyzer    string
	Day         day.Day
	FoundPoints float64
}

// Fires of every unit.
func Fires() []judge.Fire { return []judge.Fire{judge.High, judge.Low} }

// AsOf returns the day the fleet is looked at.
func (f *Fleet) AsOf() day.Day { return f.opt.AsOf }

// TrueDeviation returns CO2 less target of a unit at a fire on the evening of a
// day, points, in that day's weather.
func (f *Fleet) TrueDeviation(unit int, fire judge.Fire, day day.Day) float64 {
	u, k := f.units[unit], fireIndex(fire)
	return f.co2(u, k, day, f.AirC(unit, day)) - u.target[k]
}

// TrulyOut reports whether a unit stands outside its limits on the evening of a day.
func (f *Fleet) TrulyOut(unit int, day day.Day) bool {
	for _, fire := range Fires() {
		if math.Abs(f.TrueDeviation(unit, fire, day)) > f.units[unit].act {
			return true
		}
	}
	return false
}

// AirC returns the combustion air of a unit on a day, degC.
func (f *Fleet) AirC(unit int, day day.Day) float64 { return f.airC(f.units[unit].area, day) }

// Reads returns what an analyzer adds to the true CO2 on a day, points; NaN for
// one nobody carries.
func (f *Fleet) Reads(analyzer string, day day.Day) float64 {
	a := f.analyzer(analyzer)
	if a == nil {
		return math.NaN()
	}
	return a.reads(day)
}

// analyzer finds an analyzer by name, nil where nobody carries it.
func (f *Fleet) analyzer(name string) *analyzer {
	for _, a := range f.analyzers {
		if a.name == name {
			return a
		}
	}
	return nil
}

// StepUnits lists the units of LowSeason that were read by the analyzer that reads
// low, last of all, and left alone.
func (f *Fleet) StepUnits() []int { return f.step }

// fireIndex is the place of a fire in a unit's arrays.
func fireIndex(fire judge.Fire) int {
	if fire == judge.Low {
		return 1
	}
	return 0
}

const daysPerYear = 365.25

// years returns the years from one day to another.
func years(from, to day.Day) float64 { return float64(to-from) / daysPerYear }

// Kinds of random streams: each thing a fleet draws has a stream of its own.
const (
	ofUnit uint64 = iota + 1
	ofCourse
	ofVisits
	ofWeather
	ofAnalyzer
	ofTechnician
	ofSite
	ofArea
	ofSpoilt
)

// mix hashes a sequence of numbers (the finalizer of splitmix64, applied in turn).
func mix(xs ...uint64) uint64 {
	h := uint64(0x9e3779b97f4a7c15)
	for _, x := range xs {
		h ^= x
		h += 0x9e3779b97f4a7c15
		h = (h ^ h>>30) * 0xbf58476d1ce4e5b9
		h = (h ^ h>>27) * 0x94d049bb133111eb
		h ^= h >> 31
	}
	return h
}

// stream returns the random numbers that belong to one thing.
func (f *Fleet) stream(kind uint64, keys ...uint64) *rand.Rand {
	h := mix(append([]uint64{f.opt.Seed, f.w.id, kind}, keys...)...)
	return rand.New(rand.NewPCG(h, mix(h, kind)))
}

// normal returns one standard normal number that belongs to one thing.
func (f *Fleet) normal(kind uint64, keys ...uint64) float64 {
	return f.stream(kind, keys...).NormFloat64()
}

// rounded gives a value as it is written down.
func rounded(v float64) float64 { return math.Round(v/Step) / (1 / Step) }
