package queries

import (
	"context"
	"iter"

	"fluedrift/model/day"
)

// GasValue is a value that a source shows of a gas ("co2" or "o2", % by volume
// dry), with the number of readings that show it.
type GasValue struct {
	Source, Gas string
	Percent     float64
	Times       int32
}

// GasValues gives the gas values of all readings in order of source, gas and
// value.
func (q Records) GasValues(ctx context.Context) ([]GasValue, error) {
	return collect(ctx, q.session, "gas_values.sql", func(v *GasValue) []Field {
		return []Field{Text("source", &v.Source), Text("gas", &v.Gas), Number("percent", &v.Percent), Whole("times", &v.Times)}
	})
}

// GasPair is a pair of gases that an analyzer showed so many times.
type GasPair struct {
	Source, Analyzer, Fuel  string
	CO2Percent, O2Percent   float64
	CO2Decimals, O2Decimals int8 // as exported, -1 unknown
	Times                   int32
}

// GasPairs gives each pair of gases of the readings, those between as found
// and as left apart, in order of source, analyzer, fuel and values. The value is
// used again for the next.
func (q Records) GasPairs(ctx context.Context) iter.Seq2[*GasPair, error] {
	return rows(ctx, q.session, "gas_pairs.sql", func(p *GasPair) []Field {
		return []Field{
			Word("source", &p.Source), Word("analyzer", &p.Analyzer), Word("fuel", &p.Fuel),
			Number("co2_percent", &p.CO2Percent), Number("o2_percent", &p.O2Percent), WholeOr("co2_decimals", &p.CO2Decimals, -1),
			WholeOr("o2_decimals", &p.O2Decimals, -1), Whole("times", &p.Times),
		}
	})
}

// RecordDay is a day on which a source has a record.
type RecordDay struct {
	Source string
	Day    day.Day
}

// RecordDays gives the days up to the as-of day on which the sources have
// records that stand, factory tests apart, in order of source and day.
func (q Records) RecordDays(ctx context.Context) ([]RecordDay, error) {
	return collect(ctx, q.session, "record_days.sql", func(d *RecordDay) []Field {
		return []Field{
			Text("source", &d.Source),
			Day("day", &d.Day),
		}
	})
}

// FuelNames gives the fuels that units of the fleet burn or have burnt, in
// order.
func (q Records) FuelNames(ctx context.Context) ([]string, error) {
	return collect(ctx, q.session, "fuel_names.sql", func(s *string) []Field { return []Field{Text("fuel", s)} })
}

// FactoryRun is the length of vent that units of a model line were set on at
// the factory; the fuel is "" where it holds for any.
type FactoryRun struct {
	ModelLine, Fuel string
	LengthM         float64
}

// FactoryRuns gives all such lengths in order of line and fuel.
func (q Records) FactoryRuns(ctx context.Context) ([]FactoryRun, error) {
	return collect(ctx, q.session, "factory_runs.sql", func(f *FactoryRun) []Field {
		return []Field{Text("model_line", &f.ModelLine), Text("fuel", &f.Fuel), Number("factory_run_m", &f.LengthM)}
	})
}

// RegisterPair is how far two layouts of the unit register agree about their
// units, each by its newest line that stands.
type RegisterPair struct {
	First, Second               string // layouts
	FirstSerials, SecondSerials int64  // units they name
	Alike                       int64  // serials of the second spelt otherwise than one of the first
	FirstSerial, SecondSerial   string // one such pair
	Moved                       int64  // units of both for which they name different model lines
	MovedSerial                 string // one of them
	FirstLine, SecondLine       string // its model lines
}

// RegisterPairs gives the pairs of layouts that disagree, in order of their
// names.
func (q Records) RegisterPairs(ctx context.Context) ([]RegisterPair, error) {
	return collect(ctx, q.session, "register_pairs.sql", func(p *RegisterPair) []Field {
		return []Field{
			Text("first_layout", &p.First), Text("second_layout", &p.Second),
			Whole("first_serials", &p.FirstSerials), Whole("second_serials", &p.SecondSerials),
			Whole("alike", &p.Alike), Text("first_serial", &p.FirstSerial), Text("second_serial", &p.SecondSerial),
			Whole("moved", &p.Moved), Text("moved_serial", &p.MovedSerial), Text("first_line", &p.FirstLine), Text("second_line", &p.SecondLine),
		}
	})
}
