package table

import (
	"slices"
	"strings"

	"fluedrift/analysis/report/units"
)

// quantities are what columns of a unit of measure hold, with the end of their names.
var quantities = map[string]struct {
	units.Quantity
	end string
}{
	"kW":   {units.Input, "_kw"},
	"m":    {units.Length, "_m"},
	"degC": {units.Temperature, "_c"},
	"Pa":   {units.Pressure, "_pa"},
}

// ends are the ends of names of columns in another unit.
var ends = map[string]string{"MBH": "_mbh", "ft": "_ft", "degF": "_f", "mbar": "_mbar", "in w.c.": "_in_wc"}

// short is how the short header of a column calls a unit: C and F alone.
func short(unit string) string { return strings.TrimPrefix(unit, "deg") }

// In gives a list in the units of a reader: values, and the unit in the header.
// Numbers are rounded as their records are. A list is made in SI, as the files that
// programs read have it.
func In(s units.Set, t Table) Table {
	t.Columns, t.Rows = slices.Clone(t.Columns), slices.Clone(t.Rows)
	at := map[int]units.Quantity{}
	for i := range t.Columns {
		if q, ok := quantities[t.Columns[i].Unit]; ok {
			at[i] = q.Quantity
			t.Columns[i] = t.Columns[i].in(s)
		}
	}
	if len(at) == 0 {
		return t
	}
	for k, row := range t.Rows {
		row = slices.Clone(row)
		for i, q := range at {
			if c := row[i]; c.kind == Number {
				row[i] = NumberCell(s.Number(q, c.number, c.decimals))
			}
		}
		t.Rows[k] = row
	}
	return t
}

// AllIn is In of several lists, whose dictionary is that of what they become.
func AllIn(s units.Set, all []Table) []Table {
	out := make([]Table, len(all))
	for i, t := range all {
		if t.Name == dictionaryName {
			t = Dictionary(out[:i])
			t.Lost, t.AsOf = all[i].Lost, all[i].AsOf
		}
		out[i] = In(s, t)
	}
	return out
}

// in gives the header of a column in the units of a reader.
func (c Column) in(s units.Set) Column {
	q := quantities[c.Unit]
	to := s.UnitOf(q.Quantity)
	end, other := ends[to]
	if !other {
		return c
	}
	if name, ok := strings.CutSuffix(c.Name, q.end); ok {
		c.Name = name + end
	}
	if name, ok := strings.CutSuffix(c.Short, " "+short(c.Unit)); ok {
		c.Short = name + " " + short(to)
	}
	c.Unit = to
	return c
}
