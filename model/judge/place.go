package judge

import (
	"slices"

	"fluedrift/model/day"
)

// LastMove returns the newest move of a unit up to a day, nil where it has stood in
// one place.
func (h *History) LastMove(asOf day.Day) *Move {
	for i := len(h.Moves) - 1; i >= 0; i-- {
		if m := &h.Moves[i]; m.Day <= asOf {
			return m
		}
	}
	return nil
}

// Elsewhere reports whether a day lies before the newest move up to asOf: what was
// read then says nothing of how the burner stands now.
func (h *History) Elsewhere(day, asOf day.Day) bool {
	m := h.LastMove(asOf)
	return m != nil && m.Before(day)
}

// MovedBetween reports whether the unit was, or may have been, moved after one day and
// no later than another.
func (h *History) MovedBetween(a, b day.Day) bool {
	return slices.ContainsFunc(h.Moves, func(m Move) bool { return m.Day > a && !m.Before(b) })
}

// AltitudeOn returns the altitude of the place where the unit stood on a day, m above
// sea level; NaN unknown.
func (h *History) AltitudeOn(day day.Day) float64 {
	if m := h.moveAfter(day); m != nil {
		return m.FromAltitudeM
	}
	return h.Unit.AltitudeM
}

// AreaOn returns the area of the place where the unit stood on a day.
func (h *History) AreaOn(day day.Day) string {
	if m := h.moveAfter(day); m != nil {
		return m.FromArea
	}
	return h.Unit.Area
}

// moveAfter is the first move after a day, nil where there is none.
func (h *History) moveAfter(day day.Day) *Move {
	for i := range h.Moves {
		if h.Moves[i].Day > day {
			return &h.Moves[i]
		}
	}
	return nil
}
