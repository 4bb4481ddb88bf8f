package layout

import (
	"maps"
	"slices"
	"strings"

	"fluedrift/ingest/parse"
	"fluedrift/model/quantity"
)

// InUnit is a column as its cells in one unit of measure are read.
type InUnit struct {
	*Column
	Code string // folded text of unit_from that says so; "" where that is blank, or where a mark in the cell says so
}

// checkUnits compiles the units of a column whose cells do not all have one.
func checkUnits(c *Column) error {
	measured := c.Of.Kind == Measured || c.Of.Kind == CO
	switch {
	case c.Units == nil && c.UnitFrom == "" && c.UnitCodes == nil:
		return nil
	case !measured:
		return c.fault("field %q has no unit of measure", c.Field)
	case c.Units != nil && c.UnitFrom != "":
		return c.fault("units is for a unit behind each number, unit_from for one in another column: write one of them")
	case (c.UnitFrom == "") != (len(c.UnitCodes) == 0):
		return c.fault("unit_from and unit_codes belong together: the column, and what its texts mean\n" +
			"add unit_from = \"COLUMN\" and unit_codes = { \"TEXT\" = \"UNIT\" }")
	case c.UnitFrom != "":
		return checkUnitCodes(c)
	}
	return checkAlternatives(c)
}

// checkAlternatives compiles the units that a mark in the cell tells apart.
func checkAlternatives(c *Column) error {
	if len(c.Units) < 2 || c.Unit != "" && c.Unit != c.Units[0] {
		return c.fault("units lists two units or more, the one of a number without a unit first; unit, if given, is that one")
	}
	c.Unit = c.Units[0]
	for i, name := range c.Units {
		if slices.Contains(c.Units[:i], name) {
			return c.fault("units has %q twice", name)
		}
		u, err := takeUnit(c, name, "")
		if err != nil {
			return err
		}
		for _, other := range c.Alternatives[:i] {
			if slices.ContainsFunc(append([]string{u.Name}, u.Marks...), other.Measure.HasMark) {
				return c.fault("units %q and %q are written alike behind a number, and nothing tells them apart", other.Unit, name)
			}
		}
	}
	return nil
}

// checkUnitCodes compiles the units that another column tells.
func checkUnitCodes(c *Column) error {
	if slices.ContainsFunc(c.Headers, func(h string) bool { return parse.Fold(h) == parse.Fold(c.UnitFrom) }) {
		return c.fault("unit_from %q is the column itself: write units for a unit behind each number", c.UnitFrom)
	}
	seen := map[string]string{}
	for _, text := range slices.Sorted(maps.Keys(c.UnitCodes)) {
		name := c.UnitCodes[text]
		if parse.Fold(text) == "" {
			return c.fault("unit_codes has a blank text\nadd unit = \"UNIT\" for cells of which the unit is blank")
		}
		if other, ok := seen[parse.Fold(text)]; ok && other != name {
			return c.fault("unit code %q means both %q and %q", text, other, name)
		}
		if _, err := takeUnit(c, name, parse.Fold(text)); err != nil {
			return err
		}
		seen[parse.Fold(text)] = name
	}
	if c.Unit != "" {
		_, err := takeUnit(c, c.Unit, "")
		return err
	}
	return nil
}

// takeUnit adds a unit to those of the column.
func takeUnit(c *Column, name, code string) (quantity.Unit, error) {
	u, err := quantity.Lookup(name)
	if err != nil {
		return u, c.fault("%w", err)
	}
	if !c.Of.Takes(u) {
		return u, c.fault("field %q is a %s and cannot be measured in %q", c.Field, c.Of.Quantity, name)
	}
	if name == airFreeUnit && c.Basis != "air-free" && c.BasisFrom == "" && c.BasisCodes == nil {
		return u, c.fault("%s is CO per heat, whatever the excess air: write basis = \"air-free\"", airFreeUnit)
	}
	c.Alternatives = append(c.Alternatives, InUnit{Column: &Column{Unit: name, Measure: u}, Code: code})
	return u, nil
}

// fillAlternatives makes the columns of the units, when all else of the column is compiled.
func fillAlternatives(c *Column) {
	whole := *c
	whole.Alternatives = nil
	for i, a := range c.Alternatives {
		one := whole
		one.Unit, one.Measure, one.Line = a.Unit, a.Measure, 0
		c.Alternatives[i].Column = &one
	}
}

// DeclaredUnit names the unit of a column, or all that its cells may have.
func DeclaredUnit(c *Column) string {
	if c.Alternatives == nil {
		return c.Unit
	}
	var names []string
	for _, a := range c.Alternatives {
		if !slices.Contains(names, a.Unit) {
			names = append(names, a.Unit)
		}
	}
	return strings.Join(names, " or ")
}

// TellingColumns are the columns that tell the units and bases of others.
func TellingColumns(l *Layout) (all []string) {
	for _, c := range l.Columns {
		for _, name := range []string{c.UnitFrom, c.BasisFrom} {
			if name != "" && !slices.Contains(all, name) {
				all = append(all, name)
			}
		}
	}
	return all
}

// tellingFields describe the columns that tell the units and bases of others.
func tellingFields(l *Layout) (all []SchemaField) {
	for _, c := range l.Columns {
		if c.UnitFrom != "" {
			all = append(all, SchemaField{Name: c.UnitFrom, Type: "string", Description: "unit of measure of other columns"})
		}
		if c.BasisFrom != "" {
			all = append(all, SchemaField{Name: c.BasisFrom, Type: "string", Description: "what CO of other columns is measured in"})
		}
	}
	return all
}
