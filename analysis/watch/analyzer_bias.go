package watch

import (
	"math"

	"fluedrift/model/day"
)

const yearDays = 365.25

// on is the bias of a day with its standard deviation. NaN where the records do not
// tell, and where only a difference of two instruments is known and no certificate
// says which of them is off.
func (l *AnalyzerLine) on(d day.Day) (points, sd float64) {
	if !l.Known || (l.Step != nil || l.StepOf != "") && !l.Certified {
		return math.NaN(), math.NaN()
	}
	if l.Calibrated == day.None {
		return l.Reads.At(0)
	}
	return l.Reads.At(float64(d-l.Calibrated) / yearDays)
}

// ofNewestDay sets the bias of the newest day of the period: the as-of day, or the
// last before its analyzer was calibrated again.
func (l *AnalyzerLine) ofNewestDay(asOf day.Day) {
	l.Day = asOf
	if l.Until != day.None {
		l.Day = l.Until - 1
	}
	l.BiasPoints, l.SDPoints = l.on(l.Day)
	l.LowPoints, l.HighPoints = l.BiasPoints-Z90*l.SDPoints, l.BiasPoints+Z90*l.SDPoints
}

// Ageing is how an analyzer's reading changes between calibrations, points of CO2 a
// year, with its 90 % interval; NaN where it follows no calibration on record.
func (l *AnalyzerLine) Ageing() (slope, low, high float64) {
	sd := math.Sqrt(l.Reads.SlopeVar)
	if l.Calibrated == day.None || sd == 0 {
		nan := math.NaN()
		return nan, nan, nan
	}
	return l.Reads.Slope, l.Reads.Slope - Z90*sd, l.Reads.Slope + Z90*sd
}
