package worlds

import (
	"fmt"
	"math"

	"fluedrift/model/day"
)

// analyzer is an instrument as it truly is.
type analyzer struct {
	name     string
	constant float64   // what it reads too high all its life
	loses    float64   // points a year since it was calibrated
	since    []day.Day // days of its calibrations, the first before all records
	left     []float64
	low      float64 // points it reads too low from a day until another
	lowFrom  day.Day
}

// Spreads of what analyzers read, points: of their whole life, and of what a
// calibration leaves.
const (
	analyzerSD    = 0.05
	calibrationSD = 0.04
	certificateSD = 0.02
)

// reads is what it adds to the true CO2 on a day.
func (a *analyzer) reads(day day.Day) float64 {
	k := a.period(day)
	b := a.constant + a.left[k] - a.loses*years(a.since[k], day)
	if a.low != 0 && day >= a.lowFrom {
		b -= a.low
	}
	return b
}

// period is the place of the last calibration on or before a day.
func (a *analyzer) period(day day.Day) int {
	k := len(a.since) - 1
	for k > 0 && a.since[k] > day {
		k--
	}
	return k
}

// newAnalyzer draws an instrument and its calibrations: mostly a year apart, some
// left out, so that intervals are one to three years.
func (f *Fleet) newAnalyzer(number int, loses float64) *analyzer {
	r := f.stream(ofAnalyzer, uint64(number))
	a := &analyzer{name: fmt.Sprintf("A-%02d", number+1), constant: analyzerSD * r.NormFloat64(), loses: loses}
	for d := f.from - day.Day((0.1+1.2*r.Float64())*daysPerYear); d <= f.opt.AsOf; {
		a.since, a.left = append(a.since, d), append(a.left, calibrationSD*r.NormFloat64())
		interval := 1.0
		if r.Float64() < 0.35 {
			interval = 2
			if r.Float64() < 0.25 {
				interval = 3
			}
		}
		d += day.Day((interval + 0.12*r.NormFloat64()) * daysPerYear)
	}
	if f.w.plain != nil {
		a.constant *= plainAnalyzerSD / analyzerSD
		clear(a.left)
	}
	if f.w.certificates {
		for k := 1; k < len(a.since); k++ {
			found := a.reads(a.since[k]-1) + certificateSD*r.NormFloat64()
			f.Certificates = append(f.Certificates, Certificate{a.name, a.since[k], math.Round(100*found) / 100})
		}
	}
	f.analyzers = append(f.analyzers, a)
	return a
}

// technician is one who reads, and how.
type technician struct {
	name      string
	analyzer  *analyzer
	replaces  *analyzer // in use before from
	from      day.Day
	minds     float64 // points off target from which the burner is set
	sets      float64 // points above target the display is left at
	noFound   bool    // does not write down what was found
	selective bool    // does so only where it is bad
}

// carries is the analyzer in use on a day.
func (t *technician) carries(day day.Day) *analyzer {
	if t.replaces != nil && day < t.from {
		return t.replaces
	}
	return t.analyzer
}

// seasonDays is how long the analyzer of LowSeason is in use.
const seasonDays = 182

// crews makes the technicians, two an area, each with an analyzer.
func (f *Fleet) crews() [][]*technician {
	crews := make([][]*technician, f.areas)
	for a := range crews {
		for k := range 2 {
			number := 2*a + k
			r := f.stream(ofTechnician, uint64(number))
			t := &technician{name: fmt.Sprintf("T-%02d", number+1), analyzer: f.newAnalyzer(number, f.w.losesPerYear), minds: 0.15}
			t.selective = r.Float64() < f.w.selective
			if f.w.plain != nil {
				t.minds = plainMinds
			}
			if f.w.habits {
				t.minds = []float64{0.1, 0.15, 0.2, 0.3}[r.IntN(4)]
				if r.Float64() < 0.4 {
					t.sets = 0.1
				}
				t.noFound = r.Float64() < 0.12
			}
			crews[a] = append(crews[a], t)
		}
	}
	if f.w.plain != nil {
		f.level()
	}
	if f.w.lowSeason {
		t := crews[0][0]
		t.replaces, t.from = t.analyzer, f.opt.AsOf-seasonDays
		t.analyzer = f.newAnalyzer(2*f.areas, 0)
		t.analyzer.low, t.analyzer.lowFrom = lowPoints, t.from
		t.analyzer.since, t.analyzer.left = []day.Day{t.from - 20}, t.analyzer.left[:1]
	}
	return crews
}

// level takes the mean off what the analyzers read all their life.
func (f *Fleet) level() {
	mean := 0.0
	for _, a := range f.analyzers {
		mean += a.constant / float64(len(f.analyzers))
	}
	for _, a := range f.analyzers {
		a.constant -= mean
	}
}

// calibrated is the day a reading's analyzer was last calibrated.
func (a *analyzer) calibrated(on day.Day) day.Day {
	if d := a.since[a.period(on)]; d <= on {
		return d
	}
	return day.None
}

// LowAnalyzer is the name of the analyzer that reads low in LowSeason, and the
// day it came into use.
func (f *Fleet) LowAnalyzer() (name string, from day.Day) {
	for _, a := range f.analyzers {
		if a.low != 0 {
			return a.name, a.lowFrom
		}
	}
	return "", f.opt.AsOf
}
