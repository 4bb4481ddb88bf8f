package queries

import "context"

// Results reads what was estimated for the as-of day.
type Results struct{ session *session }

// Prediction is the forecast of one unit at one fire, as it was estimated for
// the as-of day. Gas values are CO2, percent by volume dry.
type Prediction struct {
	UnitKey                                        int32
	Fire                                           string
	TargetCO2Percent, ActRichPoints, ActLeanPoints float64
	CO2Percent, LowPercent, HighPercent            float64 // 90 % interval of the state
	RecordedLowPercent, RecordedHighPercent        float64 // and of the next recorded reading
	TodayRich, TodayLean                           float64
	PlannedDay                                     int32
	PlannedRich, PlannedLean                       float64
	WorstDay                                       int32
	WorstRich, WorstLean                           float64
	OutsideFrom, OutsideTo                         int32
	OutsideWords                                   string
	PartNames, PartPoints                          string // the same number of texts, with "|" between
	VerifyDay                                      int32  // NoDay: the last reading is not in doubt
	VerifyReadPercent, VerifyExpectedPercent       float64
	VerifyMistake, VerifyOut                       float64
	SuspectAnalyzer                                string // "": the last reading's instrument stands with the others
	SuspectPoints                                  float64
	SuspectVerdict                                 string
	Marks                                          string // texts with "|" between
	Path                                           string // days ahead, each "day co2 low high", with "|" between
}

// Predictions gives the forecasts of a slice's units in order of unit and fire.
func (q Results) Predictions(ctx context.Context, s Slice) ([]Prediction, error) {
	return collect(ctx, q.session, "predictions.sql", func(p *Prediction) []Field {
		return []Field{
			Whole("unit_key", &p.UnitKey), Word("fire", &p.Fire), Number("target_co2_percent", &p.TargetCO2Percent),
			Number("act_rich_points", &p.ActRichPoints), Number("act_lean_points", &p.ActLeanPoints),
			Number("co2_percent", &p.CO2Percent), Number("low_percent", &p.LowPercent), Number("high_percent", &p.HighPercent),
			Number("recorded_low_percent", &p.RecordedLowPercent), Number("recorded_high_percent", &p.RecordedHighPercent),
			Number("today_rich", &p.TodayRich), Number("today_lean", &p.TodayLean),
			Day("planned_day", &p.PlannedDay), Number("planned_rich", &p.PlannedRich), Number("planned_lean", &p.PlannedLean),
			Day("worst_day", &p.WorstDay), Number("worst_rich", &p.WorstRich), Number("worst_lean", &p.WorstLean),
			Day("outside_from", &p.OutsideFrom), Day("outside_to", &p.OutsideTo), Word("outside_words", &p.OutsideWords),
			Word("part_names", &p.PartNames), Text("part_points", &p.PartPoints),
			Day("verify_day", &p.VerifyDay), Number("verify_read_percent", &p.VerifyReadPercent),
			Number("verify_expected_percent", &p.VerifyExpectedPercent), Number("verify_mistake", &p.VerifyMistake),
			Number("verify_out", &p.VerifyOut),
			Word("suspect_analyzer", &p.SuspectAnalyzer), Number("suspect_points", &p.SuspectPoints), Word("suspect_verdict", &p.SuspectVerdict),
			Word("marks", &p.Marks), Text("path", &p.Path),
		}
	}, s.From, s.Until)
}

// Fit is how the fit of one fire ended: how it came about, the noise of a reading in
// points of CO2, the ratios of the other standard deviations to it (wandering a
// square-root year, unit slope a year, analyzer bias, bias by calibration period),
// and minus twice the restricted log-likelihood; NaN where there is none.
type Fit struct {
	Fire, How, Ended                                string
	SigmaPoints, RatioQ, RatioTau, RatioB1, RatioB2 float64
	Crit                                            float64
	Units, Differences                              int32
}

// Fits gives the fits in order of fire.
func (q Results) Fits(ctx context.Context) ([]Fit, error) {
	return collect(ctx, q.session, "fits.sql", func(f *Fit) []Field {
		return []Field{Text("fire", &f.Fire), Text("how", &f.How), Text("ended", &f.Ended), Number("sigma_points", &f.SigmaPoints),
			Number("ratio_q", &f.RatioQ), Number("ratio_tau", &f.RatioTau), Number("ratio_b1", &f.RatioB1), Number("ratio_b2", &f.RatioB2),
			Number("crit", &f.Crit), Whole("units", &f.Units), Whole("differences", &f.Differences)}
	})
}

// Shift is one effect of a fit of shifts: what a unit's CO2 moved by across its
// installation, or across a re-routing of its vent, points. Value, SE and the 95 %
// interval are NaN where the covariate was dropped.
type Shift struct {
	Fire, Event, Name, Unit string
	Value, SE, Low, High    float64
	Dropped                 string
	Events, Units           int32 // units that had the event, and that the fit is of
	SigmaPoints             float64
	Ended                   string // how the fit ended, one plain line
}

// Shifts gives the effects in order of fire, event and name.
func (q Results) Shifts(ctx context.Context) ([]Shift, error) {
	return collect(ctx, q.session, "shifts.sql", func(s *Shift) []Field {
		return []Field{Text("fire", &s.Fire), Text("event", &s.Event), Text("name", &s.Name), Text("unit", &s.Unit),
			Number("value", &s.Value), Number("se", &s.SE), Number("low", &s.Low), Number("high", &s.High), Text("dropped", &s.Dropped),
			Whole("events", &s.Events), Whole("units", &s.Units), Number("sigma_points", &s.SigmaPoints), Text("ended", &s.Ended)}
	})
}

// LevelStep is a day about which the levels of an area ("*": the whole fleet)
// seem to have moved together, points of CO2.
type LevelStep struct {
	Fire, Area          string
	Day                 int32
	Points, SEPoints, Z float64
	Comparisons         int32
	KeptShare           float64 // of the evidence, that analyzers do not explain
	Words               string
}

// LevelSteps gives the suspected steps in order of fire and area.
func (q Results) LevelSteps(ctx context.Context) ([]LevelStep, error) {
	return collect(ctx, q.session, "level_steps.sql", func(s *LevelStep) []Field {
		return []Field{Text("fire", &s.Fire), Text("area", &s.Area), Day("day", &s.Day), Number("points", &s.Points),
			Number("se_points", &s.SEPoints), Number("z", &s.Z), Whole("comparisons", &s.Comparisons),
			Number("kept_share", &s.KeptShare), Text("words", &s.Words)}
	})
}

// Unconfirmed is a reading, or a change, that the others of its stretch
// contradict. Points are CO2 less the target; the reading after is NoDay and NaN
// at a cut. TodayOut and WorstOut are what became of the unit: its probability of
// being outside the action band.
type Unconfirmed struct {
	UnitKey              int32
	Fire, Action, Origin string
	Day                  int32
	Points               float64
	BeforeDay            int32
	BeforePoints         float64
	AfterDay             int32
	AfterPoints          float64
	T                    float64
	Pass                 int32
	TodayOut, WorstOut   float64
	ToVerify             bool // its newest reading stands alone
}

// Unconfirmed gives those of a slice's units in order of unit, fire and day.
func (q Results) Unconfirmed(ctx context.Context, s Slice) ([]Unconfirmed, error) {
	return collect(ctx, q.session, "unconfirmed.sql", func(u *Unconfirmed) []Field {
		return []Field{Whole("unit_key", &u.UnitKey), Word("fire", &u.Fire), Word("action", &u.Action), Text("origin", &u.Origin),
			Day("day", &u.Day), Number("points", &u.Points), Day("before_day", &u.BeforeDay), Number("before_points", &u.BeforePoints),
			Day("after_day", &u.AfterDay), Number("after_points", &u.AfterPoints), Number("t", &u.T), Whole("pass", &u.Pass),
			Number("today_out", &u.TodayOut), Number("worst_out", &u.WorstOut), Truth("to_verify", &u.ToVerify)}
	}, s.From, s.Until)
}
