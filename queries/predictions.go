package queries

import "context"

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
func (w *Warehouse) Predictions(ctx context.Context, s Slice) ([]Prediction, error) {
	many := words{}
	return collect(ctx, w, "predictions.sql", func(p *Prediction) []field {
		return []field{
			whole("unit_key", &p.UnitKey, 0), many.word("fire", &p.Fire), number("target_co2_percent", &p.TargetCO2Percent),
			number("act_rich_points", &p.ActRichPoints), number("act_lean_points", &p.ActLeanPoints),
			number("co2_percent", &p.CO2Percent), number("low_percent", &p.LowPercent), number("high_percent", &p.HighPercent),
			number("recorded_low_percent", &p.RecordedLowPercent), number("recorded_high_percent", &p.RecordedHighPercent),
			number("today_rich", &p.TodayRich), number("today_lean", &p.TodayLean),
			day("planned_day", &p.PlannedDay), number("planned_rich", &p.PlannedRich), number("planned_lean", &p.PlannedLean),
			day("worst_day", &p.WorstDay), number("worst_rich", &p.WorstRich), number("worst_lean", &p.WorstLean),
			day("outside_from", &p.OutsideFrom), day("outside_to", &p.OutsideTo), many.word("outside_words", &p.OutsideWords),
			many.word("part_names", &p.PartNames), text("part_points", &p.PartPoints),
			day("verify_day", &p.VerifyDay), number("verify_read_percent", &p.VerifyReadPercent),
			number("verify_expected_percent", &p.VerifyExpectedPercent), number("verify_mistake", &p.VerifyMistake),
			number("verify_out", &p.VerifyOut),
			many.word("suspect_analyzer", &p.SuspectAnalyzer), number("suspect_points", &p.SuspectPoints), many.word("suspect_verdict", &p.SuspectVerdict),
			many.word("marks", &p.Marks), text("path", &p.Path),
		}
	}, s.From, s.Until)
}
