package queries

import (
	"context"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Records reads what was recorded of the fleet.
type Records struct{ session *session }

// Slice is a run of units by their keys, From to Until (half-open). Reads about
// units take one, so that a fleet of any size passes through memory in pieces.
type Slice struct{ From, Until int32 }

// Slices cuts the fleet into slices of about a hundred thousand readings, in
// order of the units' serials. With a serial it gives the slice of that unit,
// and none if there is no such unit.
func (q Records) Slices(ctx context.Context, serial string) ([]Slice, error) {
	return collect(ctx, q.session, "slices.sql", func(s *Slice) []Field {
		return []Field{Whole("from_key", &s.From), Whole("until_key", &s.Until)}
	}, readingsASlice, serial, serial)
}

// readingsASlice keeps a slice at a few tens of megabytes.
const readingsASlice = 100_000

// Units gives all units in order of their serials, or the one of the serial,
// none if there is no such unit.
func (q Records) Units(ctx context.Context, serial string) ([]judge.Unit, error) {
	slices, err := q.Slices(ctx, serial)
	if err != nil || len(slices) == 0 {
		return nil, err
	}
	return q.UnitsIn(ctx, Slice{From: slices[0].From, Until: slices[len(slices)-1].Until})
}

// WithSecondID gives the serials of the units that the register gives a second id, in
// order.
func (q Records) WithSecondID(ctx context.Context, id string) ([]string, error) {
	found, err := collect(ctx, q.session, "second_ids.sql", func(s *struct{ serial string }) []Field {
		return []Field{Text("serial", &s.serial)}
	}, id)
	serials := make([]string, len(found))
	for i, s := range found {
		serials[i] = s.serial
	}
	return serials, err
}

// UnitsIn gives the units of a slice in order of their keys.
func (q Records) UnitsIn(ctx context.Context, s Slice) ([]judge.Unit, error) {
	return collect(ctx, q.session, "units.sql", func(u *judge.Unit) []Field {
		return []Field{
			Whole("unit_key", &u.Key), Text("serial", &u.Serial), Word("source", &u.Source), Word("site", &u.Site),
			Word("area", &u.Area), Word("model_line", &u.ModelLine), Code("control", &u.Control),
			Word("firing", &u.Firing), Code("state", &u.State), Word("fuel", &u.Fuel), Word("plant", &u.Plant),
			Number("input_kw", &u.InputKW), Day("installed", &u.Installed), Day("state_from", &u.StateFrom),
			Day("removed_day", &u.RemovedDay),
			Day("first_day", &u.FirstDay), Number("altitude_m", &u.AltitudeM), Number("latitude", &u.LatitudeDeg),
			Number("longitude", &u.LongitudeDeg), Truth("in_register", &u.InRegister),
			Truth("has_conflict", &u.RegisterConflict), Text("carry", &u.Carry), Word("marks", &u.Marks),
		}
	}, s.From, s.Until)
}

// Target is what is asked of a unit at one fire and fuel over a stretch of days
// (half-open). The bands are points of the gas the target is declared in.
type Target struct {
	Key, UnitKey int32
	Fuel         string
	Fire         judge.Fire
	From, Until  day.Day // day.None: from the first day, without an end
	judge.Target
}

// Targets gives the targets of a slice's units in order of unit, fuel, fire and
// day.
func (q Records) Targets(ctx context.Context, s Slice) ([]Target, error) {
	return collect(ctx, q.session, "targets.sql", func(t *Target) []Field {
		return []Field{
			Whole("unit_target_key", &t.Key), Whole("unit_key", &t.UnitKey), Word("fuel", &t.Fuel),
			Code("fire", &t.Fire), Day("from_day", &t.From), Day("until_day", &t.Until),
			Number("target_co2", &t.CO2Percent), Number("target_o2", &t.O2Percent), Number("set_rich", &t.SetRich),
			Number("set_lean", &t.SetLean), Number("act_rich", &t.ActRich), Number("act_lean", &t.ActLean),
			Number("longest_run_m", &t.LongestRunM), Number("fan_pa", &t.FanPa), Word("origin", &t.Origin),
		}
	}, s.From, s.Until)
}

// VentRun is the vent and combustion-air configuration of a unit from a day on
// (half-open). Between UncertainFrom and From, both excluded, the change may
// have come on any day. Numbers count from 0 in order of time.
type VentRun struct {
	UnitKey, Number int32
	judge.VentRun
}

// VentRuns gives the vent runs of a slice's units in order of unit and time.
func (q Records) VentRuns(ctx context.Context, s Slice) ([]VentRun, error) {
	return collect(ctx, q.session, "vent_runs.sql", func(v *VentRun) []Field {
		return []Field{
			Whole("unit_key", &v.UnitKey), Whole("run", &v.Number), Day("from_day", &v.From), Day("until_day", &v.Until),
			Day("uncertain_from", &v.UncertainFrom), Truth("known", &v.Known), Truth("pinned", &v.Pinned),
			Number("vent_diameter_m", &v.DiameterM), Number("vent_length_m", &v.LengthM), Number("vent_rise_m", &v.RiseM),
			WholeOr("elbows_90", &v.Elbows90, -1), WholeOr("elbows_45", &v.Elbows45, -1), Word("terminal", &v.Terminal),
			Word("material", &v.Material), Word("air_from", &v.AirFrom),
			Number("intake_diameter_m", &v.IntakeDiameterM), Number("intake_length_m", &v.IntakeLengthM),
			WholeOr("intake_elbows_90", &v.IntakeElbows90, -1), WholeOr("intake_elbows_45", &v.IntakeElbows45, -1),
			Word("common_vent", &v.CommonVent),
		}
	}, s.From, s.Until)
}

// Move is a unit's coming to another place, stated by a line of the register. It
// came on Day where After is day.None, else some day after After and until Day.
// Origin is left to file and line.
type Move struct {
	UnitKey int32
	judge.Move
	FileKey, Line int32 // of the line that first states the new place
}

// Moves gives the moves of a slice's units in order of unit and day.
func (q Records) Moves(ctx context.Context, s Slice) ([]Move, error) {
	return collect(ctx, q.session, "moves.sql", func(m *Move) []Field {
		return []Field{
			Whole("unit_key", &m.UnitKey), Day("day", &m.Day), Day("after_day", &m.After), Word("from_site", &m.FromSite),
			Word("to_site", &m.ToSite), Word("from_area", &m.FromArea), Number("from_altitude_m", &m.FromAltitudeM),
			Whole("file_key", &m.FileKey), Whole("line", &m.Line),
		}
	}, s.From, s.Until)
}

// Fuel is the fuel of a unit from a day on (half-open).
type Fuel struct {
	UnitKey int32
	judge.FuelPeriod
}

// Fuels gives the fuels of a slice's units in order of unit and time.
func (q Records) Fuels(ctx context.Context, s Slice) ([]Fuel, error) {
	return collect(ctx, q.session, "fuels.sql", func(f *Fuel) []Field {
		return []Field{
			Whole("unit_key", &f.UnitKey), Day("from_day", &f.From), Day("until_day", &f.Until),
			Day("uncertain_from", &f.UncertainFrom), Truth("pinned", &f.Pinned), Word("fuel", &f.Fuel),
		}
	}, s.From, s.Until)
}

// Answer is what a person answered about a listed unit.
type Answer struct {
	UnitKey int32
	judge.Answer
}

// Answers gives the answers about a slice's units in order of unit and day.
func (q Records) Answers(ctx context.Context, s Slice) ([]Answer, error) {
	return collect(ctx, q.session, "answers.sql", func(a *Answer) []Field {
		return []Field{
			Whole("unit_key", &a.UnitKey), Day("day", &a.Day), Day("until_day", &a.Until), Word("answer", &a.Answer.Answer),
		}
	}, s.From, s.Until)
}

// Calibration is a day on which an analyzer was calibrated.
type Calibration struct {
	Analyzer   string
	Calibrated day.Day
	FoundError float64 // points of CO2, NaN where not recorded
}

// Calibrations gives all calibrations in order of analyzer and day.
func (q Records) Calibrations(ctx context.Context) ([]Calibration, error) {
	return collect(ctx, q.session, "calibrations.sql", func(c *Calibration) []Field {
		return []Field{Text("analyzer", &c.Analyzer), Day("calibrated", &c.Calibrated), Number("found_error", &c.FoundError)}
	})
}
