// Package quantity holds the units of measure that exported records use and
// turns them into the one canonical unit of their kind.
//
// It gives: Lookup of a unit by its exact name, conversion to and from the
// canonical unit, conversion between two units of one kind, and the marks by
// which a unit is recognised when it is typed behind a number. It does not
// guess: a name that is written for more than one quantity (MBtu, MMBtu) is
// refused with the reason, and letter case counts, since mW is not MW.
//
// A conversion is canonical = (value - Zero) * Mul / Div. Mul and Div are kept
// apart so that a unit a power of ten away from its canonical one converts with
// a single rounding: 8 in is exactly 0.2032 m and 90000 ppm exactly 9 %.
//
// Canonical units: degC, m, kW, Pa, %, ppm (for a mass of CO), rpm, uA, min, deg.
package quantity

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Kind is a quantity; two units convert into each other only within one kind.
type Kind string

// Kinds of quantity, with the canonical unit of each.
const (
	Temperature Kind = "temperature"            // degC
	Length      Kind = "length"                 // m
	Power       Kind = "power"                  // kW
	Pressure    Kind = "pressure"               // Pa
	Share       Kind = "share"                  // %
	COMass      Kind = "mass of CO in a volume" // ppm by volume; of a heat, ppm at no excess air
	Speed       Kind = "speed of rotation"      // rpm
	Current     Kind = "electric current"       // uA
	Duration    Kind = "duration"               // min
	Angle       Kind = "angle"                  // deg
	None        Kind = "count or plain number"  // no unit
)

// Verified says how far a factor's source was seen.
type Verified string

// Ways in which a factor was verified.
const (
	Exact      Verified = "exact by definition"
	Seen       Verified = "seen in transcriptions of the source"
	Arithmetic Verified = "computed from exact constants"
)

// Unit is one unit of measure. The canonical value is (v - Zero) * Mul / Div.
type Unit struct {
	Name           string // exact name, as layouts write it
	Kind           Kind
	Zero, Mul, Div float64
	Marks          []string // how it is written behind a number
	Source         string   // document the factor stands in
	Verified       Verified
}

// ErrUnknown is wrapped by the error of a name no table holds.
var ErrUnknown = errors.New("unit of measure is not known")

// ErrAmbiguous is wrapped by the error of a name that is written for more than
// one quantity.
var ErrAmbiguous = errors.New("unit of measure is ambiguous")

// Refused is a name that different people write for different quantities.
type Refused struct {
	Name, Reason string
	Remedy       string // what to write instead
}

// AllRefused are the names that Lookup refuses with a reason of their own.
func AllRefused() []Refused { return slices.Clone(refused) }

// Lookup returns the unit of an exact name. The error wraps ErrUnknown or
// ErrAmbiguous and names the remedy.
func Lookup(name string) (Unit, error) {
	for _, u := range units {
		if u.Name == name {
			return u, nil
		}
	}
	for _, r := range refused {
		if strings.EqualFold(r.Name, name) {
			return Unit{}, fmt.Errorf("unit %q: %s: %w\nwrite %s", name, r.Reason, ErrAmbiguous, r.Remedy)
		}
	}
	for _, u := range units {
		if strings.EqualFold(u.Name, name) {
			return Unit{}, fmt.Errorf("unit %q: letter case counts: %w\nwrite %q", name, ErrUnknown, u.Name)
		}
	}
	return Unit{}, fmt.Errorf("unit %q: %w\nwrite one of %s", name, ErrUnknown, strings.Join(Names(), ", "))
}

// MustLookup is Lookup for names that stand in the program itself.
func MustLookup(name string) Unit {
	u, err := Lookup(name)
	if err != nil {
		panic(err)
	}
	return u
}

// Names lists every known name in table order.
func Names() []string {
	names := make([]string, len(units))
	for i, u := range units {
		names[i] = u.Name
	}
	return names
}

// ToCanonical turns a value of this unit into the canonical unit of its kind.
// NaN stays NaN.
func (u Unit) ToCanonical(v float64) float64 { return (v - u.Zero) * u.Mul / u.Div }

// fromCanonical turns a value of the canonical unit into this unit.
func (u Unit) fromCanonical(v float64) float64 { return v*u.Div/u.Mul + u.Zero }

// Convert turns a value of one unit into another. It is an error between
// kinds, with one exception: a mass of CO in a volume and a share convert into
// each other, since the reference state of the volume is part of the unit.
func Convert(v float64, from, to Unit) (float64, error) {
	switch {
	case from.Kind == to.Kind && from.Name == to.Name:
		return v, nil
	case from.Kind == to.Kind:
		return to.fromCanonical(from.ToCanonical(v)), nil
	case from.Kind == COMass && to.Kind == Share:
		return to.fromCanonical(from.ToCanonical(v) / ppmInPercent), nil
	case from.Kind == Share && to.Kind == COMass:
		return to.fromCanonical(from.ToCanonical(v) * ppmInPercent), nil
	}
	return math.NaN(), fmt.Errorf("unit %q is a %s, unit %q is a %s: neither converts into the other", from.Name, from.Kind, to.Name, to.Kind)
}

// MarkOf returns the names of the units that are written as mark behind a
// number; letter case counts. Marks of units that no column may declare (bar,
// in Hg, MBtu) answer with a name too, so that they are recognised as another
// unit and not taken for rubbish.
func MarkOf(mark string) []string {
	var names []string
	for _, u := range units {
		if u.HasMark(mark) {
			names = append(names, u.Name)
		}
	}
	for _, m := range foreign {
		if m == mark {
			names = append(names, m)
		}
	}
	return names
}

// HasMark reports whether the unit is written as mark behind a number: by its
// name or by one of its marks, letter case counting.
func (u Unit) HasMark(mark string) bool {
	return mark == u.Name || slices.Contains(u.Marks, mark)
}
