package analysis

import (
	"context"
	"fmt"

	"fluedrift/queries"
)

// Forecasts reads back all forecasts the warehouse was estimated with, by the
// key of the unit; a unit without one is absent.
func Forecasts(ctx context.Context, w *queries.Warehouse) (map[int32]*Forecast, error) {
	slices, err := w.Slices(ctx, "")
	if err != nil {
		return nil, fmt.Errorf("read forecasts: %w", err)
	}
	all := map[int32]*Forecast{}
	for _, s := range slices {
		rows, err := w.Predictions(ctx, s)
		if err != nil {
			return nil, fmt.Errorf("read forecasts: %w", err)
		}
		for i := range rows {
			fire, err := fireForecast(&rows[i], w.AsOf())
			if err != nil {
				return nil, fmt.Errorf("read forecasts, unit %d: %w", rows[i].UnitKey, err)
			}
			f := all[rows[i].UnitKey]
			if f == nil {
				f = &Forecast{}
				all[rows[i].UnitKey] = f
			}
			f.Fires = append(f.Fires, fire)
		}
	}
	return all, nil
}
