package queries

import (
	"context"
	"iter"
	"math"

	"fluedrift/model/judge"
)

// UnknownAge is the age of a unit whose install day is not known.
const UnknownAge = math.MinInt32

// Visit is a day's work at a unit, without its Origin.
type Visit struct {
	Key, UnitKey int32
	judge.Visit
	FileKey, Line int32 // where its newest standing line is, which Origin is made from
	AgeDays       int32 // since the install day, negative before it, UnknownAge
	Fuel          string
	FuelUncertain bool
	VentRun       int32 // number of the vent run, -1 none
	VentUncertain bool
	Marks         string // separated by blanks
}

// Visits gives each visit of a slice's units, in order of unit, day,
// minute and key. The value is used again for the next visit.
func (q Records) Visits(ctx context.Context, s Slice) iter.Seq2[*Visit, error] {
	return rows(ctx, q.session, "visits.sql", func(v *Visit) []Field {
		return []Field{
			Whole("visit_key", &v.Key), Whole("unit_key", &v.UnitKey), Text("visit_id", &v.ID), Word("source", &v.Source),
			Whole("file_key", &v.FileKey), Whole("line", &v.Line), Day("day", &v.Day), WholeOr("minute", &v.Minute, -1),
			WholeOr("age_days", &v.AgeDays, UnknownAge), Code("reason", &v.Reason), Word("technician", &v.Technician),
			Word("analyzer", &v.Analyzer), Word("adjusted_high", &v.AdjustedHigh),
			Word("adjusted_low", &v.AdjustedLow), Word("parts", &v.Parts), Word("not_reached", &v.NotReached),
			Number("outdoor_temp_c", &v.OutdoorTempC), Word("fuel", &v.Fuel), Truth("fuel_uncertain", &v.FuelUncertain),
			WholeOr("vent_run", &v.VentRun, -1), Truth("vent_uncertain", &v.VentUncertain), Word("marks", &v.Marks),
		}
	}, s.From, s.Until)
}

// Reading is one set of gas values at one fire and condition, without its Visit,
// Target and Origin, which its keys stand for.
type Reading struct {
	UnitKey, VisitKey int32
	judge.Reading
	FileKey, Line                         int32 // where it stands, which Origin is made from
	Part                                  int8  // place within a line of the wide form
	CODecimals, FlueDecimals, AirDecimals int8  // as exported, -1 unknown
	TargetKey                             int32 // of Target, 0 none
	AgeDays                               int32 // since the install day, negative before it, UnknownAge
}

// Readings gives each standing reading of a slice's units, in order of
// unit, day, time, visit, fire and taking. The value is used again for the next
// reading.
func (q Records) Readings(ctx context.Context, s Slice) iter.Seq2[*Reading, error] {
	return rows(ctx, q.session, "readings.sql", func(r *Reading) []Field {
		return []Field{
			Whole("unit_key", &r.UnitKey), Whole("visit_key", &r.VisitKey), Whole("file_key", &r.FileKey),
			Whole("line", &r.Line), Whole("part", &r.Part), Day("day", &r.Day), WholeOr("minute", &r.Minute, -1),
			Code("fire", &r.Fire), Code("condition", &r.Condition), Code("recorded_condition", &r.Recorded),
			Number("rate_percent", &r.RatePercent), Number("co2_percent", &r.CO2Percent), Number("o2_percent", &r.O2Percent),
			Number("co_ppm", &r.COPPM), Word("co_basis", &r.COBasis), Number("co_reference_o2", &r.COReferenceO2Percent),
			Word("co_limit", &r.COLimit), Number("flue_temp_c", &r.FlueTempC), Number("air_temp_c", &r.AirTempC),
			Word("air_temp_at", &r.AirTempAt), Number("minutes_firing", &r.MinutesFiring), Number("supply_pa", &r.SupplyPa),
			Number("manifold_pa", &r.ManifoldPa), Number("fan_speed_rpm", &r.FanSpeedRPM),
			Number("flame_signal_ua", &r.FlameSignalUA), Number("draft_pa", &r.DraftPa),
			WholeOr("co2_decimals", &r.CO2Decimals, -1), WholeOr("o2_decimals", &r.O2Decimals, -1),
			WholeOr("co_decimals", &r.CODecimals, -1), WholeOr("flue_decimals", &r.FlueDecimals, -1),
			WholeOr("air_decimals", &r.AirDecimals, -1), Word("analyzer", &r.Analyzer), Day("calibrated", &r.Calibrated),
			Word("fuel", &r.Fuel), Truth("fuel_uncertain", &r.FuelUncertain), WholeOr("vent_run", &r.VentRun, -1),
			Truth("vent_uncertain", &r.VentUncertain), Whole("unit_target_key", &r.TargetKey),
			WholeOr("age_days", &r.AgeDays, UnknownAge), Word("marks", &r.Marks),
		}
	}, s.From, s.Until)
}
