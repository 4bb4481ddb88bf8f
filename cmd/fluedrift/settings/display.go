package settings

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"fluedrift/analysis/report/units"
	"fluedrift/ingest/layout"
)

// Display is the section [display]: the units of measure of all that people read. An
// empty key is not given.
type Display struct {
	Units       string `toml:"units"`
	Input       string `toml:"input"`
	Length      string `toml:"length"`
	Temperature string `toml:"temperature"`
	Pressure    string `toml:"pressure"`
	Distance    string `toml:"distance"`
}

// keys are the keys of [display] with their values and what those may be.
func (d Display) keys() []displayKey {
	return []displayKey{
		{"units", d.Units, units.Systems()},
		{"input", d.Input, units.Choices(units.Input)},
		{"length", d.Length, units.Choices(units.Length)},
		{"temperature", d.Temperature, units.Choices(units.Temperature)},
		{"pressure", d.Pressure, units.Choices(units.Pressure)},
		{"distance", d.Distance, units.Choices(units.Distance)},
	}
}

type displayKey struct {
	name, value string
	allowed     []string
}

// check compares the values with what they may be.
func (d Display) check() error {
	for _, k := range d.keys() {
		if k.value != "" && !slices.Contains(k.allowed, k.value) {
			return fmt.Errorf("display.%s: %q is none of %s", k.name, k.value, strings.Join(k.allowed, ", "))
		}
	}
	return nil
}

// LayoutLines is how many lines were read by a layout.
type LayoutLines struct {
	Layout string
	Lines  int64
}

// Units are the units of measure of the reader: those of [display], else of the
// register's layout, else metric. What was read by each layout tells which of several
// registers counts; layouts that cannot be read leave the units unknown, and are
// reported where exports are read.
func Units(c *Config, read []LayoutLines) units.Set {
	var columns []units.Column
	if byName, err := c.Layouts(); err == nil {
		columns = measuredColumns(byName, read)
	}
	s := units.OfRegister(columns)
	if c.Display.Units != "" {
		s = units.System(c.Display.Units)
	}
	d := c.Display
	s.Input, s.Length, s.Temperature = cmp.Or(d.Input, s.Input), cmp.Or(d.Length, s.Length), cmp.Or(d.Temperature, s.Temperature)
	s.Pressure, s.Distance = cmp.Or(d.Pressure, s.Pressure), cmp.Or(d.Distance, s.Distance)
	return s.Recorded(columns)
}

// RecordUnits gives the units of measure that an export has, by the name of its layout;
// what that does not declare is in SI.
func RecordUnits(c *Config) func(layout string) units.Set {
	byName, _ := c.Layouts() // what cannot be read is reported where exports are read
	return func(name string) units.Set {
		l, ok := byName[name]
		if !ok {
			return units.SI
		}
		return units.SI.Recorded(measuredColumns(map[string]*layout.Layout{name: l}, nil)).AsRecorded()
	}
}

// measuredColumns are the columns with a unit of measure that the layouts declare.
func measuredColumns(byName map[string]*layout.Layout, read []LayoutLines) (columns []units.Column) {
	lines := map[string]int64{}
	for _, r := range read {
		lines[r.Layout] += r.Lines
	}
	for _, name := range slices.Sorted(maps.Keys(byName)) {
		l := byName[name]
		for _, c := range l.Columns {
			if c.Field != "" && c.Unit != "" {
				columns = append(columns, units.Column{
					Layout: name, Field: c.Field, Unit: c.Unit, Register: l.Record == layout.Units, Lines: lines[name],
				})
			}
		}
	}
	return columns
}
