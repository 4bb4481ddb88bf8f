package units

import (
	"slices"

	"fluedrift/model/quantity"
)

// mile is the international mile, exact: NIST SP 811 (2008), Appendix B, 1.609344 km.
var mile = unit{Unit: quantity.Unit{Name: "mi", Mul: 1609344, Div: 1000000, Source: "NIST SP 811 (2008), Appendix B"}, typed: 1, least: 0.1}

// kilometre is the unit in which ways on the road come.
var kilometre = unit{Unit: quantity.Unit{Name: "km", Mul: 1, Div: 1}, typed: 1, least: 0.1}

// of takes a unit from the table of units.
func of(name string, typed, least float64) unit {
	return unit{quantity.MustLookup(name), typed, least}
}

// candidate is a unit that records of a quantity come in, and that a reader can choose
// where [display] has a name for it.
type candidate struct {
	unit
	choice string // "": records alone
}

// table has the units of each quantity; the first is SI. How finely numbers are read and
// written is common practice, no source.
var table = [...][]candidate{
	Input: {
		{of("kW", 1, 0.1), "kW"},
		{of("MBH", 1, 1), "MBH"},
		{of("W", 1, 100), ""},
		{of("MW", 0.001, 0.0001), ""},
		{of("Btu/h", 1, 1000), ""},
		{of("therm/h", 0.01, 0.01), ""},
		{of("therm(EC)/h", 0.01, 0.01), ""},
	},
	Length: {
		{of("m", 1, 0.1), "m"},
		{of("ft", 1, 0.1), "ft"},
		{of("mm", 1, 1), ""},
		{of("cm", 1, 1), ""},
		{of("in", 1, 1), ""},
	},
	Width: {
		{of("mm", 1, 1), "m"},
		{of("in", 1, 0.1), "ft"},
		{of("m", 0.01, 0.001), ""},
		{of("cm", 1, 0.1), ""},
		{of("ft", 0.1, 0.01), ""},
	},
	Temperature: {
		{of("degC", 1, 1), "degC"},
		{of("degF", 1, 1), "degF"},
		{of("K", 1, 1), ""},
	},
	Pressure: {
		{of("Pa", 1, 1), "Pa"},
		{of("mbar", 0.1, 0.01), "mbar"},
		{of("in w.c.", 0.1, 0.01), "in w.c."},
		{of("hPa", 0.1, 0.01), ""},
		{of("kPa", 0.01, 0.01), ""},
		{of("psi", 0.01, 0.01), ""},
	},
	Distance: {{kilometre, "km"}, {mile, "mi"}},
}

// si is the unit of the quantity's values.
func (q Quantity) si() unit {
	if q == Width {
		return table[Length][0].unit
	}
	return table[q][0].unit
}

// unitOf is the unit of a choice; that of SI where nothing is chosen.
func unitOf(q Quantity, choice string) unit {
	for _, u := range table[q] {
		if u.choice == choice && choice != "" {
			return u.unit
		}
	}
	return table[q][0].unit
}

// Choices are the names among which a reader chooses the units of a quantity.
func Choices(q Quantity) (names []string) {
	for _, u := range table[q] {
		if u.choice != "" {
			names = append(names, u.choice)
		}
	}
	return names
}

// Metric and US are the two systems, by their names in [display].
const (
	Metric = "metric"
	US     = "us"
)

// Systems are both.
func Systems() []string { return []string{US, Metric} }

// System is the Set of a system; metric for any name but that of the other.
func System(name string) Set {
	if name == US {
		return Set{Input: "MBH", Length: "ft", Temperature: "degF", Pressure: "in w.c.", Distance: "mi"}
	}
	return Set{Input: "kW", Length: "m", Temperature: "degC", Pressure: "Pa", Distance: "km"}
}

// known finds a unit among those of a quantity.
func known(q Quantity, name string) (unit, bool) {
	i := slices.IndexFunc(table[q], func(u candidate) bool { return u.Name == name })
	if i < 0 {
		return unit{}, false
	}
	return table[q][i].unit, true
}
