// Package units writes quantities in the units of the reader: MBH or kW, feet and
// inches or metres and millimetres, degF or degC, in w.c., mbar or Pa, miles or
// kilometres. What the program stores and what other programs read stays in SI; a Set
// is chosen where a person reads.
//
// A number is rounded as its record was. A value that stands in the unit it was
// recorded in is written as recorded (10 in stays 10 in); in another unit it gets no
// more digits than the record has (10 in is 250 mm, 2000 MBH are 586 kW). The record's
// unit is one that the layouts declare for such columns, or that in which the value is
// short. A value that is short in none was computed: it gets three digits.
package units

import (
	"math"
	"strconv"
	"strings"

	"fluedrift/model/quantity"
)

// Quantity is what a number measures; two of one kind can have units of their own.
type Quantity int

// Quantities, each with the SI unit its values come in.
const (
	Input       Quantity = iota // kW
	Length                      // m: of a run, a rise, an altitude
	Width                       // m: of a pipe, shown in mm or in
	Temperature                 // degC
	Pressure                    // Pa
	Distance                    // km: on the road
)

// Set is the units of a reader, by their names in the table of names. The zero Set is
// SI: kW, m and mm, degC, Pa, km.
type Set struct {
	Input, Length, Temperature, Pressure, Distance string
	// recorded are the units in which values of a quantity were recorded; none where
	// that is not known.
	recorded   [Distance + 1][]unit
	asRecorded bool
}

// SI is the Set of lists that programs read.
var SI Set

// AsRecorded is the Set that writes quantities in the unit in which most were recorded,
// where that is known: of the columns of one export, so that a figure is found in it.
func (s Set) AsRecorded() Set {
	s.asRecorded = true
	return s
}

// InputOf writes a rated input of so many kW: "586 kW", "2000 MBH".
func (s Set) InputOf(kW float64) string { return s.text(Input, kW) }

// LengthOf writes a length of so many metres: "12.2 m", "40 ft".
func (s Set) LengthOf(m float64) string { return s.text(Length, m) }

// WidthOf writes the width of a pipe of so many metres: "250 mm", "10 in".
func (s Set) WidthOf(m float64) string { return s.text(Width, m) }

// TemperatureOf writes a temperature of so many degC: "181 degC", "358 degF".
func (s Set) TemperatureOf(degC float64) string { return s.text(Temperature, degC) }

// PressureOf writes a pressure of so many Pa: "870 Pa", "3.5 in w.c.".
func (s Set) PressureOf(pa float64) string { return s.text(Pressure, pa) }

// Bare writes a value as the ways above do, without its unit.
func (s Set) Bare(q Quantity, v float64) string {
	to := s.shown(q)
	return plain(rounded(to.from(v), s.step(q, v, to)))
}

// WarmerOf writes a difference of temperatures of so many K: "10 K", "18 degF".
func (s Set) WarmerOf(k float64) string {
	if u := s.WarmerUnit(); u != "K" {
		return plain(s.WarmerValue(k), 0) + " " + u
	}
	return plain(k, 1) + " K"
}

// WarmerUnit is the unit of differences of temperatures, K or degF.
func (s Set) WarmerUnit() string {
	if u := s.UnitOf(Temperature); u == "degF" {
		return u
	}
	return "K"
}

// WarmerValue gives a difference of so many K in WarmerUnit with all its digits.
func (s Set) WarmerValue(k float64) float64 { return s.Value(Temperature, k) - s.Value(Temperature, 0) }

// SpeedOf writes a speed on the road of so many km/h: "50 km/h", "31 mph".
func (s Set) SpeedOf(kmh float64) string {
	if s.Distance != mile.Name {
		return plain(kmh, 2) + " km/h"
	}
	return plain(math.Round(mile.from(kmh)), 0) + " mph"
}

// DegreesOf writes a temperature of so many degC in whole degrees with the letter
// alone, as a narrow line has it: "181 C", "358 F".
func (s Set) DegreesOf(degC float64) string {
	n, _ := s.Number(Temperature, degC, 0)
	return plain(n, 0) + " " + s.DegreeLetter()
}

// DegreeLetter is C or F.
func (s Set) DegreeLetter() string {
	return strings.TrimPrefix(s.shown(Temperature).Name, "deg")
}

// UnitOf is the name of the unit in which a quantity is shown.
func (s Set) UnitOf(q Quantity) string { return s.shown(q).Name }

// Number gives a value, which comes in the quantity's SI unit, in the reader's, with
// the decimals to write it with: no more than so many decimals of the SI unit are
// worth, and no more digits than its record has.
func (s Set) Number(q Quantity, v float64, decimals int) (number float64, shown int) {
	to := s.shown(q)
	number = to.from(v)
	step := stepUnder(math.Pow10(-decimals) * to.Div / to.Mul * q.si().Mul / q.si().Div)
	own := to.Name == q.si().Name
	from, _, ok := s.record(q, v)
	switch {
	case ok && !byTens(from, to):
		step = max(step, s.step(q, v, to))
	case own:
	case ok:
		d, _, _ := shortIn(number)
		step = max(step, math.Pow10(-d))
	default:
		step = max(step, to.least)
	}
	return rounded(number, step)
}

// Value gives a value in the reader's unit with all its digits, for a place on an axis.
func (s Set) Value(q Quantity, v float64) float64 { return s.shown(q).from(v) }

// text writes a value with its unit.
func (s Set) text(q Quantity, v float64) string { return s.Bare(q, v) + " " + s.shown(q).Name }

// shown is the unit in which a quantity is shown.
func (s Set) shown(q Quantity) unit {
	if s.asRecorded && len(s.recorded[q]) > 0 {
		return s.recorded[q][0]
	}
	return unitOf(q, [...]string{
		Input: s.Input, Length: s.Length, Width: s.Length, Temperature: s.Temperature, Pressure: s.Pressure, Distance: s.Distance,
	}[q])
}

// plain writes a number with at most so many decimals and no zeros behind.
func plain(v float64, decimals int) string {
	v, err := strconv.ParseFloat(strconv.FormatFloat(v, 'f', decimals, 64), 64)
	if err != nil || v == 0 {
		v = 0 // no negative zero
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// unit is a unit of measure with how finely numbers of it are written.
type unit struct {
	quantity.Unit
	typed float64 // how finely a value without decimals is taken to be read: a pressure of 7 in w.c. is one of 7.0
	least float64 // step under which a value of another unit is not written
}

// from turns a value of the SI unit of the quantity into this unit.
func (u unit) from(v float64) float64 { return v*u.Div/u.Mul + u.Zero }
