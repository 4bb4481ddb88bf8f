package quantity

import "fmt"

// Kinds that only handbook units have, with their canonical units.
const (
	Energy   Kind = "energy"    // J
	Mass     Kind = "mass"      // kg
	MassFlow Kind = "mass flow" // kg/s
)

// handbook lists units that handbooks and standards print their figures in and
// no exported column may declare. Temperatures behind a water or mercury column
// are those its density is taken at.
var handbook = []Unit{
	{"J", Energy, 0, 1, 1, nil, siBook, Exact},
	{"Btu", Energy, 0, btuJ, 1, nil, sp811 + ", International Table", Seen},
	{"kg", Mass, 0, 1, 1, nil, siBook, Exact},
	{"lb", Mass, 0, 0.45359237, 1, nil, sp811, Exact},
	{"kg/s", MassFlow, 0, 1, 1, nil, siBook, Exact},
	{"lb/h", MassFlow, 0, 0.45359237, secondsPerH, nil, sp811, Arithmetic},
	{"boiler hp", Power, 0, 9809.50, wattsPerKW, nil, sp811, Seen},
	{"in w.c. at 39.2 degF", Pressure, 0, 249.082, 1, nil, sp811, Seen},
	{"in w.c. at 60 degF", Pressure, 0, 248.84, 1, nil, sp811, Seen},
	{"mm w.c.", Pressure, 0, 9.80665, 1, nil, sp811 + ", conventional", Exact},
	{"in Hg", Pressure, 0, 3386.389, 1, nil, sp811 + ", conventional", Seen},
	{"in Hg at 32 degF", Pressure, 0, 3386.38, 1, nil, sp811, Seen},
	{"in Hg at 60 degF", Pressure, 0, 3376.85, 1, nil, sp811, Seen},
	{"mm Hg", Pressure, 0, 133.3224, 1, nil, sp811 + ", conventional", Seen},
}

// Handbook returns a unit that published figures are printed in: one of
// Lookup's, or one that stands in handbooks only. The error is Lookup's.
func Handbook(name string) (Unit, error) {
	for _, u := range handbook {
		if u.Name == name {
			return u, nil
		}
	}
	u, err := Lookup(name)
	if err != nil {
		return u, fmt.Errorf("no handbook unit either: %w", err)
	}
	return u, nil
}

// Difference turns a difference between two values of one unit into the
// canonical unit: a zero point drops out.
func (u Unit) Difference(d float64) float64 { return d * u.Mul / u.Div }
