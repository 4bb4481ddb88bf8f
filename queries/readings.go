package queries

import "context"

// Visit is a day's work at a unit.
type Visit struct {
	Key, UnitKey              int32
	ID, Source                string
	FileKey, Line             int32 // where its newest standing line is
	Day                       int32
	Minute                    int16 // minute of the day, -1 unknown
	AgeDays                   int32 // since the install day, negative before it, NoDay unknown
	Reason                    string
	Technician, Analyzer      string
	AdjustedHigh, AdjustedLow string // yes | no | ""
	Parts, NotReached         string
	OutdoorTempC              float64
	Fuel                      string
	FuelUncertain             bool
	VentRun                   int32 // number of the vent run, -1 none
	VentUncertain             bool
	Marks                     string // separated by blanks
}

// Visits calls fn for each visit of a slice's units, in order of unit, day,
// minute and key. The value is used again for the next visit.
func (w *Warehouse) Visits(ctx context.Context, s Slice, fn func(*Visit) error) error {
	many := words{}
	var v Visit
	return w.fetch(ctx, "visits.sql", []field{
		whole("visit_key", &v.Key, 0), whole("unit_key", &v.UnitKey, 0), text("visit_id", &v.ID), many.word("source", &v.Source),
		whole("file_key", &v.FileKey, 0), whole("line", &v.Line, 0), day("day", &v.Day), whole("minute", &v.Minute, -1),
		whole("age_days", &v.AgeDays, NoDay), many.word("reason", &v.Reason), many.word("technician", &v.Technician),
		many.word("analyzer", &v.Analyzer), many.word("adjusted_high", &v.AdjustedHigh),
		many.word("adjusted_low", &v.AdjustedLow), many.word("parts", &v.Parts), many.word("not_reached", &v.NotReached),
		number("outdoor_temp_c", &v.OutdoorTempC), many.word("fuel", &v.Fuel), truth("fuel_uncertain", &v.FuelUncertain),
		whole("vent_run", &v.VentRun, -1), truth("vent_uncertain", &v.VentUncertain), many.word("marks", &v.Marks),
	}, func() error { return fn(&v) }, s.From, s.Until)
}

// Reading is one set of gas values at one fire and condition.
type Reading struct {
	UnitKey, VisitKey                   int32
	FileKey, Line                       int32
	Part                                int8 // place within a line of the wide form
	Day                                 int32
	Minute                              int16 // -1 unknown
	Fire, Condition, Recorded           string
	RatePercent                         float64
	CO2Percent, O2Percent               float64
	COPPM                               float64
	COBasis                             string
	COReferenceO2Percent                float64
	COLimit                             string // below | above | ""
	FlueTempC, AirTempC                 float64
	AirTempAt                           string
	MinutesFiring                       float64
	SupplyPa, ManifoldPa                float64
	FanSpeedRPM, FlameSignalUA, DraftPa float64
	CO2Decimals, O2Decimals, CODecimals int8 // as exported, -1 unknown
	FlueDecimals, AirDecimals           int8
	Analyzer                            string
	Calibrated                          int32 // latest calibration on or before the day
	Fuel                                string
	FuelUncertain                       bool
	VentRun                             int32 // number of the vent run, -1 none
	VentUncertain                       bool
	TargetKey                           int32 // of Target, 0 none
	AgeDays                             int32
	Marks                               string
}

// Readings calls fn for each standing reading of a slice's units, in order of
// unit, day, time, visit, fire and taking. The value is used again for the next
// reading.
func (w *Warehouse) Readings(ctx context.Context, s Slice, fn func(*Reading) error) error {
	many := words{}
	var r Reading
	return w.fetch(ctx, "readings.sql", []field{
		whole("unit_key", &r.UnitKey, 0), whole("visit_key", &r.VisitKey, 0), whole("file_key", &r.FileKey, 0),
		whole("line", &r.Line, 0), whole("part", &r.Part, 0), day("day", &r.Day), whole("minute", &r.Minute, -1),
		many.word("fire", &r.Fire), many.word("condition", &r.Condition), many.word("recorded_condition", &r.Recorded),
		number("rate_percent", &r.RatePercent), number("co2_percent", &r.CO2Percent), number("o2_percent", &r.O2Percent),
		number("co_ppm", &r.COPPM), many.word("co_basis", &r.COBasis), number("co_reference_o2", &r.COReferenceO2Percent),
		many.word("co_limit", &r.COLimit), number("flue_temp_c", &r.FlueTempC), number("air_temp_c", &r.AirTempC),
		many.word("air_temp_at", &r.AirTempAt), number("minutes_firing", &r.MinutesFiring), number("supply_pa", &r.SupplyPa),
		number("manifold_pa", &r.ManifoldPa), number("fan_speed_rpm", &r.FanSpeedRPM),
		number("flame_signal_ua", &r.FlameSignalUA), number("draft_pa", &r.DraftPa),
		whole("co2_decimals", &r.CO2Decimals, -1), whole("o2_decimals", &r.O2Decimals, -1),
		whole("co_decimals", &r.CODecimals, -1), whole("flue_decimals", &r.FlueDecimals, -1),
		whole("air_decimals", &r.AirDecimals, -1), many.word("analyzer", &r.Analyzer), day("calibrated", &r.Calibrated),
		many.word("fuel", &r.Fuel), truth("fuel_uncertain", &r.FuelUncertain), whole("vent_run", &r.VentRun, -1),
		truth("vent_uncertain", &r.VentUncertain), whole("unit_target_key", &r.TargetKey, 0),
		whole("age_days", &r.AgeDays, NoDay), many.word("marks", &r.Marks),
	}, func() error { return fn(&r) }, s.From, s.Until)
}
