package queries

import "context"

// GasValue is a value that a source shows of a gas ("co2" or "o2", % by volume
// dry), with the number of readings that show it.
type GasValue struct {
	Source, Gas string
	Percent     float64
	Times       int32
}

// GasValues gives the gas values of all readings in order of source, gas and
// value.
func (w *Warehouse) GasValues(ctx context.Context) ([]GasValue, error) {
	return collect(ctx, w, "gas_values.sql", func(v *GasValue) []field {
		return []field{text("source", &v.Source), text("gas", &v.Gas), number("percent", &v.Percent), whole("times", &v.Times, 0)}
	})
}

// GasPair is a pair of gases that an analyzer showed so many times.
type GasPair struct {
	Source, Analyzer, Fuel  string
	CO2Percent, O2Percent   float64
	CO2Decimals, O2Decimals int8 // as exported, -1 unknown
	Times                   int32
}

// GasPairs calls fn for each pair of gases of the readings, those between as found
// and as left apart, in order of source, analyzer, fuel and values. The value is
// used again for the next.
func (w *Warehouse) GasPairs(ctx context.Context, fn func(*GasPair) error) error {
	many := words{}
	var p GasPair
	return w.fetch(ctx, "gas_pairs.sql", []field{
		many.word("source", &p.Source), many.word("analyzer", &p.Analyzer), many.word("fuel", &p.Fuel),
		number("co2_percent", &p.CO2Percent), number("o2_percent", &p.O2Percent), whole("co2_decimals", &p.CO2Decimals, -1),
		whole("o2_decimals", &p.O2Decimals, -1), whole("times", &p.Times, 0),
	}, func() error { return fn(&p) })
}

// RecordDay is a day on which a source has a record.
type RecordDay struct {
	Source string
	Day    int32
}

// RecordDays gives the days up to the as-of day on which the sources have
// records that stand, factory tests apart, in order of source and day.
func (w *Warehouse) RecordDays(ctx context.Context) ([]RecordDay, error) {
	return collect(ctx, w, "record_days.sql", func(d *RecordDay) []field { return []field{text("source", &d.Source), day("day", &d.Day)} })
}

// FuelNames gives the fuels that units of the fleet burn or have burnt, in
// order.
func (w *Warehouse) FuelNames(ctx context.Context) ([]string, error) {
	return collect(ctx, w, "fuel_names.sql", func(s *string) []field { return []field{text("fuel", s)} })
}
