package layout

import (
	"slices"

	"fluedrift/ingest/parse"
)

// HoldsMerged reports whether a cell of a column of the file that is merged over rows
// holds for each of them. What a person writes once for several rows, a day or a site,
// does; what was measured at the burner in one row was not measured in the next. A column
// says otherwise with merged.
func HoldsMerged(l *Layout, header string) bool {
	for i := range l.Columns {
		c := &l.Columns[i]
		if !comesFrom(l, c, header) {
			continue
		}
		if c.Merged != nil {
			return *c.Merged
		}
		if measuresBurner(c) {
			return false
		}
	}
	return true
}

// comesFrom reports a column that is, or that steps make from, a column of the file.
func comesFrom(l *Layout, c *Column, header string) bool {
	return slices.ContainsFunc(c.Headers, func(name string) bool {
		return slices.ContainsFunc(l.Sources(name), func(s string) bool { return parse.Fold(s) == parse.Fold(header) })
	})
}

// measuresBurner reports a value of a reading that tells how the burner was found or
// left. The air of the room and the rate that was asked for are its circumstances.
func measuresBurner(c *Column) bool {
	return c.Of.Place == OfReading && (c.Of.Kind == Measured || c.Of.Kind == CO) && c.Field != "rate" && c.Field != "air_temp"
}

// checkMerged holds merged to files that have merged cells.
func checkMerged(l *Layout, c *Column) error {
	if c.Merged != nil && !l.Padded() {
		return c.fault("merged has no use in a file of type %q: its cells are not merged", l.File.Type)
	}
	return nil
}

// LeftOut is what becomes of rows that are struck out where a layout says so; else they
// are read as the others.
const LeftOut = "left out"

var struckOut = []string{"read", LeftOut}
