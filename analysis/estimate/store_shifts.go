package estimate

import (
	"context"

	"fluedrift/model/drift"
)

// nightShifts are the shifts a night fits, once for all that ask.
func (f *Fleet) nightShifts(ctx context.Context) (_ []ShiftFit, err error) {
	if !f.shifted {
		f.night, err = f.shifts(ctx, shiftUnits)
		f.shifted = err == nil
	}
	return f.night, err
}

// shiftRow is one coefficient of a fit of shifts.
type shiftRow struct {
	fit *ShiftFit
	drift.Coefficient
}

func shiftRows(fits []ShiftFit) (rows []shiftRow) {
	for i := range fits {
		for _, c := range fits[i].Fit.Coefficients {
			rows = append(rows, shiftRow{&fits[i], c})
		}
	}
	return rows
}

var shiftColumns = []col[shiftRow]{
	{"fire", func(s *shiftRow) any { return s.of().Fire }},
	{"event", func(s *shiftRow) any { return s.of().Name }},
	{"name", func(s *shiftRow) any { return s.Name }},
	{"unit", func(s *shiftRow) any { return s.Unit }},
	{"value", func(s *shiftRow) any { return s.Value }},
	{"se", func(s *shiftRow) any { return s.SE }},
	{"low", func(s *shiftRow) any { return s.Low }},
	{"high", func(s *shiftRow) any { return s.High }},
	{"dropped", func(s *shiftRow) any { return s.Dropped }},
	{"events", func(s *shiftRow) any { return int32(s.of().Events) }},
	{"units", func(s *shiftRow) any { return int32(s.of().Units) }},
	{"sigma_points", func(s *shiftRow) any { return s.of().Fit.Sigma }},
	{"ended", func(s *shiftRow) any { return s.of().Fit.Ended }},
}

// of is the fit; an empty one for the row that only shows the types.
func (s *shiftRow) of() *ShiftFit {
	if s.fit == nil {
		return &ShiftFit{Fit: &drift.Fit{}}
	}
	return s.fit
}
