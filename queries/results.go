package queries

import (
	"context"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Results reads what was estimated for the as-of day.
type Results struct{ session *session }

// Prediction is the forecast of one unit at one fire, as it was estimated for
// the as-of day. Gas values are CO2, percent by volume dry.
type Prediction struct {
	UnitKey                                            int32
	Fire                                               judge.Fire
	TargetCO2Percent, ActRichPoints, ActLeanPoints     float64
	CO2Percent, LowPercent, HighPercent                float64 // 90 % interval of the state
	RecordedLowPercent, RecordedHighPercent            float64 // and of the next recorded reading
	TodayRich, TodayLean                               float64
	PlannedDay                                         day.Day
	PlannedRich, PlannedLean                           float64
	WorstDay                                           day.Day
	WorstRich, WorstLean                               float64
	Outside                                            string
	OutsideFrom, OutsideTo                             day.Day
	Parts                                              []Part  // what the expected CO2 is made of
	UnconfirmedDay                                     day.Day // day.None: the last reading is not in doubt
	UnconfirmedReadPercent, UnconfirmedExpectedPercent float64
	UnconfirmedMistake, UnconfirmedOut                 float64
	SuspectAnalyzer                                    string // "": the last reading's instrument stands with the others
	SuspectPoints                                      float64
	SuspectVerdict                                     string
	Marks                                              []Mark
	Path                                               []PathPoint // days ahead
	Harm                                               []HarmPoint // days ahead, with and without a visit
	AimPoints, AimGainDays                             float64     // where to leave the burner, NaN where nothing is suggested
}

// Part is one contribution to an expected CO2, in points of CO2.
type Part struct {
	Kind   string
	Points float64
}

func partFields(p *Part) []Field {
	return []Field{Word("kind", &p.Kind), Number("points", &p.Points)}
}

// Mark is something that a forecast rests on or lacks, with points of CO2 or a day
// where its kind has them.
type Mark struct {
	Kind   string
	Points float64
	Day    day.Day // day.None: it has none
}

func markFields(m *Mark) []Field {
	return []Field{Word("kind", &m.Kind), Number("points", &m.Points), Day("day", &m.Day)}
}

// PathPoint is the CO2 expected on a day ahead, with its 90 % interval.
type PathPoint struct {
	Day                                 day.Day
	CO2Percent, LowPercent, HighPercent float64
}

func pathFields(p *PathPoint) []Field {
	return []Field{
		Day("day", &p.Day),
		Number("co2_percent", &p.CO2Percent),
		Number("low_percent", &p.LowPercent),
		Number("high_percent", &p.HighPercent),
	}
}

// HarmPoint is how likely a unit is outside its action band on a day, and by how many
// points it is expected to be, by side: if nobody comes, and after a visit.
type HarmPoint struct {
	Day                                  day.Day
	Rich, Lean                           float64
	RichBeyond, LeanBeyond               float64
	VisitedRich, VisitedLean             float64
	VisitedRichBeyond, VisitedLeanBeyond float64
}

func harmFields(p *HarmPoint) []Field {
	return []Field{
		Day("day", &p.Day),
		Number("rich", &p.Rich),
		Number("lean", &p.Lean),
		Number("rich_beyond", &p.RichBeyond),
		Number("lean_beyond", &p.LeanBeyond),
		Number("visited_rich", &p.VisitedRich),
		Number("visited_lean", &p.VisitedLean),
		Number("visited_rich_beyond", &p.VisitedRichBeyond),
		Number("visited_lean_beyond", &p.VisitedLeanBeyond),
	}
}

// Predictions gives the forecasts of a slice's units in order of unit and fire.
func (q Results) Predictions(ctx context.Context, s Slice) ([]Prediction, error) {
	return collect(ctx, q.session, "predictions.sql", PredictionFields, s.From, s.Until)
}

// PredictionFields is the table of fields of result.predictions.
func PredictionFields(p *Prediction) []Field {
	return []Field{
		Whole("unit_key", &p.UnitKey),
		Code("fire", &p.Fire),
		Number("target_co2_percent", &p.TargetCO2Percent),
		Number("act_rich_points", &p.ActRichPoints),
		Number("act_lean_points", &p.ActLeanPoints),
		Number("co2_percent", &p.CO2Percent),
		Number("low_percent", &p.LowPercent),
		Number("high_percent", &p.HighPercent),
		Number("recorded_low_percent", &p.RecordedLowPercent),
		Number("recorded_high_percent", &p.RecordedHighPercent),
		Number("today_rich", &p.TodayRich),
		Number("today_lean", &p.TodayLean),
		Day("planned_day", &p.PlannedDay),
		Number("planned_rich", &p.PlannedRich),
		Number("planned_lean", &p.PlannedLean),
		Day("worst_day", &p.WorstDay),
		Number("worst_rich", &p.WorstRich),
		Number("worst_lean", &p.WorstLean),
		Word("outside", &p.Outside),
		Day("outside_from", &p.OutsideFrom),
		Day("outside_to", &p.OutsideTo),
		Rows("parts", &p.Parts, partFields),
		Day("verify_day", &p.UnconfirmedDay),
		Number("verify_read_percent", &p.UnconfirmedReadPercent),
		Number("verify_expected_percent", &p.UnconfirmedExpectedPercent),
		Number("verify_mistake", &p.UnconfirmedMistake),
		Number("verify_out", &p.UnconfirmedOut),
		Word("suspect_analyzer", &p.SuspectAnalyzer),
		Number("suspect_points", &p.SuspectPoints),
		Word("suspect_verdict", &p.SuspectVerdict),
		Rows("marks", &p.Marks, markFields),
		Rows("path", &p.Path, pathFields),
		Rows("harm", &p.Harm, harmFields),
		Number("aim_points", &p.AimPoints),
		Number("aim_gain_days", &p.AimGainDays),
	}
}

// Fit is how the fit of one fire ended: how it came about, the noise of a reading in
// points of CO2, the ratios of the other standard deviations to it (wandering a
// square-root year, unit slope a year, analyzer bias, bias by calibration period),
// and minus twice the restricted log-likelihood; NaN where there is none.
type Fit struct {
	Fire                                            judge.Fire
	How, Ended                                      string
	SigmaPoints, RatioQ, RatioTau, RatioB1, RatioB2 float64
	Crit                                            float64
	Units, Segments, Readings, Differences          int32
	Unconfirmed                                     int32 // readings left out and changes cut at
	Notes                                           []string
}

// Fits gives the fits in order of fire.
func (q Results) Fits(ctx context.Context) ([]Fit, error) {
	return collect(ctx, q.session, "fits.sql", FitFields)
}

// FitFields is the table of fields of result.fits.
func FitFields(f *Fit) []Field {
	return []Field{
		Code("fire", &f.Fire),
		Text("how", &f.How),
		Text("ended", &f.Ended),
		Number("sigma_points", &f.SigmaPoints),
		Number("ratio_q", &f.RatioQ),
		Number("ratio_tau", &f.RatioTau),
		Number("ratio_b1", &f.RatioB1),
		Number("ratio_b2", &f.RatioB2),
		Number("crit", &f.Crit),
		Whole("units", &f.Units),
		Whole("segments", &f.Segments),
		Whole("readings", &f.Readings),
		Whole("differences", &f.Differences),
		Whole("unconfirmed", &f.Unconfirmed),
		Texts("notes", &f.Notes),
	}
}

// Shift is one effect of a fit of shifts: what a unit's CO2 moved by across its
// installation, or across a re-routing of its vent, points. Value, SE and the 95 %
// interval are NaN where the covariate was dropped.
type Shift struct {
	Fire                 judge.Fire
	Event, Name, Unit    string
	Value, SE, Low, High float64
	Dropped              string
	Events, Units        int32 // units that had the event, and that the fit is of
	SigmaPoints          float64
	Ended                string // how the fit ended, one plain line
}

// Shifts gives the effects in order of fire, event and name.
func (q Results) Shifts(ctx context.Context) ([]Shift, error) {
	return collect(ctx, q.session, "shifts.sql", ShiftFields)
}

// ShiftFields is the table of fields of result.shifts.
func ShiftFields(s *Shift) []Field {
	return []Field{
		Code("fire", &s.Fire),
		Text("event", &s.Event),
		Text("name", &s.Name),
		Text("unit", &s.Unit),
		Number("value", &s.Value),
		Number("se", &s.SE),
		Number("low", &s.Low),
		Number("high", &s.High),
		Text("dropped", &s.Dropped),
		Whole("events", &s.Events),
		Whole("units", &s.Units),
		Number("sigma_points", &s.SigmaPoints),
		Text("ended", &s.Ended),
	}
}
