package queries

import "context"

// Shift is one effect of a fit of shifts: what a unit's CO2 moved by across its
// installation, or across a re-routing of its vent, points. Value, SE and the 95 %
// interval are NaN where the covariate was dropped.
type Shift struct {
	Fire, Event, Name, Unit string
	Value, SE, Low, High    float64
	Dropped                 string
	Events, Units           int32 // units that had the event, and that the fit is of
	SigmaPoints             float64
	Ended                   string // how the fit ended, one plain line
}

// Shifts gives the effects in order of fire, event and name.
func (w *Warehouse) Shifts(ctx context.Context) ([]Shift, error) {
	return collect(ctx, w, "shifts.sql", func(s *Shift) []field {
		return []field{text("fire", &s.Fire), text("event", &s.Event), text("name", &s.Name), text("unit", &s.Unit),
			number("value", &s.Value), number("se", &s.SE), number("low", &s.Low), number("high", &s.High), text("dropped", &s.Dropped),
			whole("events", &s.Events, 0), whole("units", &s.Units, 0), number("sigma_points", &s.SigmaPoints), text("ended", &s.Ended)}
	})
}
