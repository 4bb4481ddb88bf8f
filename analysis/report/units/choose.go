package units

import (
	"cmp"
	"slices"
)

// Column is a column with a unit of measure, as a layout declares it, and how many
// lines were read by that layout.
type Column struct {
	Layout, Field, Unit string
	Register            bool // of the units themselves
	Lines               int64
}

// quantities of the fields of records that have a unit of measure. An altitude is none
// of them: where it is written in feet, vents need not be.
var quantities = map[string]Quantity{
	"input":       Input,
	"vent_length": Length, "vent_rise": Length, "intake_length": Length, "longest_run": Length, "factory_run": Length,
	"vent_diameter": Width, "intake_diameter": Width,
	"flue_temp": Temperature, "air_temp": Temperature, "outdoor_temp": Temperature,
	"supply_pressure": Pressure, "manifold_pressure": Pressure, "draft": Pressure, "fan_pressure": Pressure,
}

// customary are the units of the American system.
var customary = []string{"MBH", "Btu/h", "therm/h", "ft", "in", "degF", "in w.c.", "psi"}

// OfRegister is the Set of the register's units of measure: of the layout by which most
// units were read. What it does not measure is taken from the system that most of its
// columns are of; metric where it has none.
func OfRegister(columns []Column) Set {
	own := registerColumns(columns)
	american := 0
	for _, c := range own {
		if c.customary() {
			american++
		}
	}
	s := systemOf(2*american > len(own))
	for _, c := range slices.Backward(own) { // of several lengths the first column counts
		of := systemOf(c.customary())
		switch quantities[c.Field] {
		case Input:
			s.Input = of.Input
		case Length: // and with it the unit of widths
			s.Length = of.Length
		}
	}
	return s
}

// customary reports whether a column is in a unit of the American system.
func (c Column) customary() bool { return slices.Contains(customary, c.Unit) }

func systemOf(american bool) Set {
	if american {
		return System(US)
	}
	return System(Metric)
}

// registerColumns are the columns of the register by which most units were read; of
// several with as many, the first by name.
func registerColumns(columns []Column) (own []Column) {
	var layouts []Column
	for _, c := range columns {
		if _, measured := quantities[c.Field]; c.Register && measured {
			layouts = append(layouts, c)
		}
	}
	if len(layouts) == 0 {
		return nil
	}
	most := slices.MinFunc(layouts, func(a, b Column) int {
		return cmp.Or(cmp.Compare(b.Lines, a.Lines), cmp.Compare(a.Layout, b.Layout))
	})
	for _, c := range layouts {
		if c.Layout == most.Layout {
			own = append(own, c)
		}
	}
	return own
}

// Recorded is the Set with the units that columns were recorded in, those of most lines
// first.
func (s Set) Recorded(columns []Column) Set {
	byLines := slices.Clone(columns)
	slices.SortStableFunc(byLines, func(a, b Column) int {
		return cmp.Or(cmp.Compare(b.Lines, a.Lines), cmp.Compare(a.Layout, b.Layout))
	})
	for _, c := range byLines {
		q, measured := quantities[c.Field]
		if !measured {
			continue
		}
		u, ok := known(q, c.Unit)
		if ok && !slices.ContainsFunc(s.recorded[q], func(have unit) bool { return have.Name == u.Name }) {
			s.recorded[q] = append(slices.Clip(s.recorded[q]), u)
		}
	}
	return s
}
