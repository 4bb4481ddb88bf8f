package study

import (
	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/study"
)

// ventUnits writes what stands on a page in the units of its reader.
type ventUnits struct{ in units.Set }

// LengthUnit and WidthUnit are the units of runs and of pipes.
func (u ventUnits) LengthUnit() string { return u.in.UnitOf(units.Length) }
func (u ventUnits) WidthUnit() string  { return u.in.UnitOf(units.Width) }

// Length and Width write a cell of a table whose header has the unit.
func (u ventUnits) Length(m float64) string { return Length(u.in, m) }
func (u ventUnits) Width(m float64) string  { return Width(u.in, m) }

// Length writes a length of a run, in metres, for a cell whose header has the unit.
func Length(in units.Set, m float64) string { return cell(in.Number(units.Length, m, 2)) }

// Width writes the width of a pipe, in metres, likewise.
func Width(in units.Set, m float64) string { return cell(in.Number(units.Width, m, 3)) }

// cell writes a number with its decimals, a dash where there is none.
func cell(v float64, decimals int) string { return words.Number(v, decimals) }

// WarmerUnit is the unit of differences of temperatures.
func (u ventUnits) WarmerUnit() string { return u.in.WarmerUnit() }

// Lengths and Warmer give quartiles of lengths, and of differences of temperatures, in
// the units of the reader.
func (u ventUnits) Lengths(q study.Quartiles) study.Quartiles {
	return converted(q, func(m float64) float64 { return u.in.Value(units.Length, m) })
}

func (u ventUnits) Warmer(q study.Quartiles) study.Quartiles { return converted(q, u.in.WarmerValue) }

func converted(q study.Quartiles, to func(float64) float64) study.Quartiles {
	q.Low, q.Middle, q.High = to(q.Low), to(q.Middle), to(q.High)
	return q
}

// AssumedWords and Beyond are those sentences of an answer that have quantities.
func (u ventUnits) AssumedWords(all []study.Assumed) string { return words.Assumed(u.in, all) }
func (u ventUnits) Beyond(b study.Beyond) string            { return words.Beyond(u.in, b) }

// newVentFigure makes a figure of lengths and diameters.
func newVentFigure(in units.Set) *page.Figure {
	return page.NewBroadFigure("recorded length, "+in.UnitOf(units.Length), "diameter, "+in.UnitOf(units.Width))
}
