package queries

import "context"

// FactoryRun is the length of vent that units of a model line were set on at
// the factory; the fuel is "" where it holds for any.
type FactoryRun struct {
	ModelLine, Fuel string
	LengthM         float64
}

// FactoryRuns gives all such lengths in order of line and fuel.
func (w *Warehouse) FactoryRuns(ctx context.Context) ([]FactoryRun, error) {
	return collect(ctx, w, "factory_runs.sql", func(f *FactoryRun) []field {
		return []field{text("model_line", &f.ModelLine), text("fuel", &f.Fuel), number("factory_run_m", &f.LengthM)}
	})
}
