package estimate

import (
	"math"
	"time"

	"gonum.org/v1/gonum/mat"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Climate is the combustion-air temperature to be expected through the year:
//
//	mean + cosC cos(2 pi d/365.25) + sinC sin(2 pi d/365.25)      d: day of the year
//
// for units that draw outdoor air and, apart from them, for units that draw the
// room's. The variances are of single days about the curve.
type Climate struct {
	Outdoor, Room Curve
	Given         bool // from the configuration, not from the records
}

// Curve is one yearly course, degC.
type Curve struct {
	MeanC, CosC, SinC float64
	Var               float64 // K^2
	Readings          int     // behind it; 0: not known from records
}

// At returns the expected temperature of a day, degC.
func (c Curve) At(day day.Day) float64 {
	s, k := math.Sincos(phase(day))
	return c.MeanC + c.CosC*k + c.SinC*s
}

func phase(d day.Day) float64 {
	return 2 * math.Pi * float64(d.Time().YearDay()) / 365.25
}

// minClimate is how many temperatures a curve needs, over minMonths months.
const (
	minClimate = 60
	minMonths  = 9
)

// YearlyCurve makes a curve from a mean, half the way from the coldest to the
// warmest day, the coldest day of the year (1-366) and the spread of single days about
// it.
func YearlyCurve(meanC, swingK float64, coldestDay int, spreadK float64) Curve {
	s, c := math.Sincos(2 * math.Pi * float64(coldestDay) / 365.25)
	return Curve{MeanC: meanC, CosC: -swingK * c, SinC: -swingK * s, Var: spreadK * spreadK}
}

// climateOf takes the configured climate, else the course of the temperatures
// the records themselves hold.
func climateOf(histories []*judge.History, doubted []doubtedAir, given *Climate, spreadK float64) Climate {
	if given != nil {
		return *given
	}
	var outdoor, room []sample
	for k, h := range histories {
		for i := range h.Readings {
			x := &h.Readings[i]
			if !intakeKnown(h, x) || doubted[k][i] {
				continue
			}
			if drawsRoom(h, x) {
				room = append(room, sample{x.Day, x.AirTempC})
			} else {
				outdoor = append(outdoor, sample{x.Day, x.AirTempC})
			}
		}
	}
	return Climate{Outdoor: fitCurve(outdoor, spreadK), Room: fitCurve(room, spreadK)}
}

// curve returns what stands in for a temperature not recorded: the course of
// the room's air where the unit draws that and it is known, else the outdoor one.
func (c *Climate) curve(room bool) Curve {
	if room && c.Room.known(c.Given) || !c.Outdoor.known(c.Given) {
		return c.Room
	}
	return c.Outdoor
}

// known says whether the curve can stand in for a missing temperature.
func (c Curve) known(given bool) bool { return given || c.Readings > 0 }

type sample struct {
	day day.Day
	c   float64
}

// fitCurve fits a yearly course by least squares; with too few or too one-sided
// temperatures it returns a curve of no readings, with the spread given.
func fitCurve(all []sample, spreadK float64) Curve {
	months := map[time.Month]bool{}
	for _, s := range all {
		months[monthOf(s.day)] = true
	}
	if len(all) < minClimate || len(months) < minMonths {
		return Curve{Var: spreadK * spreadK}
	}
	x, y := mat.NewDense(len(all), 3, nil), mat.NewVecDense(len(all), nil)
	for i, s := range all {
		sin, cos := math.Sincos(phase(s.day))
		x.SetRow(i, []float64{1, cos, sin})
		y.SetVec(i, s.c)
	}
	var b mat.VecDense
	if err := b.SolveVec(x, y); err != nil {
		return Curve{Var: spreadK * spreadK}
	}
	c := Curve{MeanC: b.AtVec(0), CosC: b.AtVec(1), SinC: b.AtVec(2), Readings: len(all)}
	sum := 0.0
	for _, s := range all {
		sum += (s.c - c.At(s.day)) * (s.c - c.At(s.day))
	}
	c.Var = sum / float64(len(all)-3)
	return c
}

// doubtedAir holds the readings of a history, by index, whose air temperature
// does not stand: room air where the unit draws it from outdoors, or in doubt by
// its unit of measure. It counts as not recorded.
type doubtedAir map[int]bool

func doubtedAirs(judgements []judge.Judgement) []doubtedAir {
	all := make([]doubtedAir, len(judgements))
	for k := range judgements {
		for _, f := range judgements[k].Findings {
			for _, i := range f.Readings {
				if all[k][i] || !judgements[k].AirDoubted(i) {
					continue
				}
				if all[k] == nil {
					all[k] = doubtedAir{}
				}
				all[k][i] = true
			}
		}
	}
	return all
}

// drawsRoom says whether the unit took its combustion air from the room on the
// day of a reading.
func drawsRoom(h *judge.History, x *judge.Reading) bool {
	return x.VentRun >= 0 && h.VentRuns[x.VentRun].AirFrom == "room"
}

// intakeKnown says whether a reading tells the temperature of the air that was
// burnt: taken at the intake, or in the room where the unit draws the room's air,
// or outdoors where it does not.
func intakeKnown(h *judge.History, x *judge.Reading) bool {
	if math.IsNaN(x.AirTempC) || h.Visits[x.Visit].Reason == judge.FactoryTest {
		return false
	}
	switch x.AirTempAt {
	case "room":
		return drawsRoom(h, x)
	case "outdoor":
		return !drawsRoom(h, x)
	}
	return true
}
