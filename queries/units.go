package queries

import "context"

// Slice is a run of units by their keys, From to Until (half-open). Reads about
// units take one, so that a fleet of any size passes through memory in pieces.
type Slice struct{ From, Until int32 }

// Slices cuts the fleet into slices of about a hundred thousand readings, in
// order of the units' serials. With a serial it gives the slice of that unit,
// and none if there is no such unit.
func (w *Warehouse) Slices(ctx context.Context, serial string) ([]Slice, error) {
	return collect(ctx, w, "slices.sql", func(s *Slice) []field {
		return []field{whole("from_key", &s.From, 0), whole("until_key", &s.Until, 0)}
	}, readingsASlice, serial, serial)
}

// readingsASlice keeps a slice at a few tens of megabytes.
const readingsASlice = 100_000

// Unit is a boiler with the attributes in force on the as-of day.
type Unit struct {
	Key                            int32
	Serial, Source, Site, Area     string
	ModelLine, Control, Firing     string
	State, Fuel, Plant             string
	InputKW                        float64
	Installed, StateFrom, FirstDay int32
	RemovedDay                     int32 // taken out then and installed again since; NoDay: never
	AltitudeM                      float64
	LatitudeDeg, LongitudeDeg      float64
	InRegister                     bool
	RegisterConflict               bool   // the newest register lines, or those of two sources, contradict each other
	Carry                          string // JSON object of columns that travel to the lists
	Marks                          string // separated by blanks
}

// Units gives all units in order of their serials, or the one of the serial,
// none if there is no such unit.
func (w *Warehouse) Units(ctx context.Context, serial string) ([]Unit, error) {
	slices, err := w.Slices(ctx, serial)
	if err != nil || len(slices) == 0 {
		return nil, err
	}
	return w.UnitsIn(ctx, Slice{From: slices[0].From, Until: slices[len(slices)-1].Until})
}

// UnitsIn gives the units of a slice in order of their keys.
func (w *Warehouse) UnitsIn(ctx context.Context, s Slice) ([]Unit, error) {
	many := words{}
	return collect(ctx, w, "units.sql", func(u *Unit) []field {
		return []field{
			whole("unit_key", &u.Key, 0), text("serial", &u.Serial), many.word("source", &u.Source), many.word("site", &u.Site),
			many.word("area", &u.Area), many.word("model_line", &u.ModelLine), many.word("control", &u.Control),
			many.word("firing", &u.Firing), many.word("state", &u.State), many.word("fuel", &u.Fuel), many.word("plant", &u.Plant),
			number("input_kw", &u.InputKW), day("installed", &u.Installed), day("state_from", &u.StateFrom),
			day("removed_day", &u.RemovedDay),
			day("first_day", &u.FirstDay), number("altitude_m", &u.AltitudeM), number("latitude", &u.LatitudeDeg),
			number("longitude", &u.LongitudeDeg), truth("in_register", &u.InRegister),
			truth("has_conflict", &u.RegisterConflict), text("carry", &u.Carry), many.word("marks", &u.Marks),
		}
	}, s.From, s.Until)
}

// Target is what is asked of a unit at one fire and fuel over a stretch of days
// (half-open). The bands are points of the gas the target is declared in.
type Target struct {
	Key, UnitKey          int32
	Fuel, Fire            string
	From, Until           int32 // NoDay: from the first day, without an end
	CO2Percent, O2Percent float64
	SetRich, SetLean      float64
	ActRich, ActLean      float64
	LongestRunM, FanPa    float64
	Origin                string // file:line or "configuration"; "" where no target is declared
}

// Targets gives the targets of a slice's units in order of unit, fuel, fire and
// day.
func (w *Warehouse) Targets(ctx context.Context, s Slice) ([]Target, error) {
	many := words{}
	return collect(ctx, w, "targets.sql", func(t *Target) []field {
		return []field{
			whole("unit_target_key", &t.Key, 0), whole("unit_key", &t.UnitKey, 0), many.word("fuel", &t.Fuel),
			many.word("fire", &t.Fire), day("from_day", &t.From), day("until_day", &t.Until),
			number("target_co2", &t.CO2Percent), number("target_o2", &t.O2Percent), number("set_rich", &t.SetRich),
			number("set_lean", &t.SetLean), number("act_rich", &t.ActRich), number("act_lean", &t.ActLean),
			number("longest_run_m", &t.LongestRunM), number("fan_pa", &t.FanPa), many.word("origin", &t.Origin),
		}
	}, s.From, s.Until)
}

// VentRun is the vent and combustion-air configuration of a unit from a day on
// (half-open). Between UncertainFrom and From, both excluded, the change may
// have come on any day. Numbers count from 0 in order of time.
type VentRun struct {
	UnitKey, Number                int32
	From, Until, UncertainFrom     int32
	Known, Pinned                  bool
	DiameterM, LengthM, RiseM      float64
	Elbows90, Elbows45             int // -1 unknown
	Terminal, Material, AirFrom    string
	IntakeDiameterM, IntakeLengthM float64
	IntakeElbows90, IntakeElbows45 int // -1 unknown
	CommonVent                     string
}

// VentRuns gives the vent runs of a slice's units in order of unit and time.
func (w *Warehouse) VentRuns(ctx context.Context, s Slice) ([]VentRun, error) {
	many := words{}
	return collect(ctx, w, "vent_runs.sql", func(v *VentRun) []field {
		return []field{
			whole("unit_key", &v.UnitKey, 0), whole("run", &v.Number, 0), day("from_day", &v.From), day("until_day", &v.Until),
			day("uncertain_from", &v.UncertainFrom), truth("known", &v.Known), truth("pinned", &v.Pinned),
			number("vent_diameter_m", &v.DiameterM), number("vent_length_m", &v.LengthM), number("vent_rise_m", &v.RiseM),
			whole("elbows_90", &v.Elbows90, -1), whole("elbows_45", &v.Elbows45, -1), many.word("terminal", &v.Terminal),
			many.word("material", &v.Material), many.word("air_from", &v.AirFrom),
			number("intake_diameter_m", &v.IntakeDiameterM), number("intake_length_m", &v.IntakeLengthM),
			whole("intake_elbows_90", &v.IntakeElbows90, -1), whole("intake_elbows_45", &v.IntakeElbows45, -1),
			many.word("common_vent", &v.CommonVent),
		}
	}, s.From, s.Until)
}

// Move is a unit's coming to another place, stated by a line of the register. It
// came on Day where After is NoDay, else some day after After and until Day.
type Move struct {
	UnitKey, Day, After        int32
	FromSite, ToSite, FromArea string
	FromAltitudeM              float64
	FileKey, Line              int32
}

// Moves gives the moves of a slice's units in order of unit and day.
func (w *Warehouse) Moves(ctx context.Context, s Slice) ([]Move, error) {
	many := words{}
	return collect(ctx, w, "moves.sql", func(m *Move) []field {
		return []field{
			whole("unit_key", &m.UnitKey, 0), day("day", &m.Day), day("after_day", &m.After), many.word("from_site", &m.FromSite),
			many.word("to_site", &m.ToSite), many.word("from_area", &m.FromArea), number("from_altitude_m", &m.FromAltitudeM),
			whole("file_key", &m.FileKey, 0), whole("line", &m.Line, 0),
		}
	}, s.From, s.Until)
}

// Fuel is the fuel of a unit from a day on (half-open).
type Fuel struct {
	UnitKey                    int32
	From, Until, UncertainFrom int32
	Pinned                     bool
	Fuel                       string // "" not known
}

// Fuels gives the fuels of a slice's units in order of unit and time.
func (w *Warehouse) Fuels(ctx context.Context, s Slice) ([]Fuel, error) {
	many := words{}
	return collect(ctx, w, "fuels.sql", func(f *Fuel) []field {
		return []field{
			whole("unit_key", &f.UnitKey, 0), day("from_day", &f.From), day("until_day", &f.Until),
			day("uncertain_from", &f.UncertainFrom), truth("pinned", &f.Pinned), many.word("fuel", &f.Fuel),
		}
	}, s.From, s.Until)
}

// Answer is what a person answered about a listed unit.
type Answer struct {
	UnitKey    int32
	Day, Until int32
	Answer     string
}

// Answers gives the answers about a slice's units in order of unit and day.
func (w *Warehouse) Answers(ctx context.Context, s Slice) ([]Answer, error) {
	many := words{}
	return collect(ctx, w, "answers.sql", func(a *Answer) []field {
		return []field{
			whole("unit_key", &a.UnitKey, 0), day("day", &a.Day), day("until_day", &a.Until), many.word("answer", &a.Answer),
		}
	}, s.From, s.Until)
}

// Calibration is a day on which an analyzer was calibrated.
type Calibration struct {
	Analyzer   string
	Calibrated int32
	FoundError float64 // points of CO2, NaN where not recorded
}

// Calibrations gives all calibrations in order of analyzer and day.
func (w *Warehouse) Calibrations(ctx context.Context) ([]Calibration, error) {
	return collect(ctx, w, "calibrations.sql", func(c *Calibration) []field {
		return []field{text("analyzer", &c.Analyzer), day("calibrated", &c.Calibrated), number("found_error", &c.FoundError)}
	})
}
