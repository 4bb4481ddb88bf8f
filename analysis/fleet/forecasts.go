package fleet

import (
	"context"
	"fmt"
	"math"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// Forecasts reads back what the night that made the warehouse forecast, one for
// each history. A unit without a forecast has nil.
func Forecasts(ctx context.Context, w *queries.Warehouse, histories []*judge.History) ([]*analysis.Forecast, error) {
	serial := ""
	if len(histories) == 1 {
		serial = histories[0].Unit.Serial
	}
	slices, err := w.Slices(ctx, serial)
	if err != nil {
		return nil, fmt.Errorf("read forecasts: %w", err)
	}
	all := map[int32]*analysis.Forecast{}
	for _, s := range slices {
		rows, err := w.Predictions(ctx, s)
		if err != nil {
			return nil, fmt.Errorf("read forecasts: %w", err)
		}
		for i := range rows {
			f := all[rows[i].UnitKey]
			if f == nil {
				f = &analysis.Forecast{}
				all[rows[i].UnitKey] = f
			}
			f.Fires = append(f.Fires, fireForecast(&rows[i], w.AsOf()))
		}
	}
	forecasts := make([]*analysis.Forecast, len(histories))
	for i, h := range histories {
		forecasts[i] = all[h.Unit.Key]
	}
	return forecasts, nil
}

// fireForecast turns a row back into a forecast.
func fireForecast(p *queries.Prediction, asOf day.Day) analysis.FireForecast {
	f := analysis.FireForecast{
		Fire: p.Fire, RatePercent: math.NaN(), CO2Percent: p.CO2Percent, LowPercent: p.LowPercent, HighPercent: p.HighPercent,
		TargetCO2Percent: p.TargetCO2Percent, ActRichPercent: p.ActRichPoints, ActLeanPercent: p.ActLeanPoints,
		Today:        analysis.Probability{Day: asOf, Rich: p.TodayRich, Lean: p.TodayLean},
		Planned:      analysis.Probability{Day: p.PlannedDay, Rich: p.PlannedRich, Lean: p.PlannedLean},
		Worst:        analysis.Probability{Day: p.WorstDay, Rich: p.WorstRich, Lean: p.WorstLean},
		Earlier:      analysis.Probability{Day: day.None, Rich: math.NaN(), Lean: math.NaN()},
		FirstOutside: analysis.Leaving(p.Outside), FirstOutsideFrom: p.OutsideFrom, FirstOutsideTo: p.OutsideTo,
		RecordedLowPercent: p.RecordedLowPercent, RecordedHighPercent: p.RecordedHighPercent,
	}
	if p.UnconfirmedDay != day.None {
		f.Unconfirmed = &analysis.Unconfirmed{
			Day: p.UnconfirmedDay, ReadPercent: p.UnconfirmedReadPercent, ExpectedPercent: p.UnconfirmedExpectedPercent,
			MistakeProbability: p.UnconfirmedMistake, LargerOut: p.UnconfirmedOut,
		}
	}
	if p.SuspectAnalyzer != "" {
		f.Suspect = &analysis.Suspect{Analyzer: p.SuspectAnalyzer, Points: p.SuspectPoints, Verdict: analysis.Verdict(p.SuspectVerdict)}
	}
	for _, m := range p.Marks {
		mark := analysis.Mark{Kind: analysis.MarkKind(m.Kind), Points: m.Points}
		if m.Day != day.None {
			mark.Day = m.Day
		}
		f.Marks = append(f.Marks, mark)
	}
	for _, part := range p.Parts {
		f.Parts = append(f.Parts, analysis.Part{Kind: analysis.PartKind(part.Kind), Points: part.Points})
	}
	for _, point := range p.Path {
		f.Path = append(f.Path, analysis.PathPoint(point))
	}
	for i := range p.Harm {
		f.Harm = append(f.Harm, harmPoint(&p.Harm[i]))
	}
	f.Aim = analysis.Aim{Points: p.AimPoints, GainDays: p.AimGainDays}
	return f
}

// harmPoint turns a stored day back into harm.
func harmPoint(p *queries.HarmPoint) analysis.HarmPoint {
	return analysis.HarmPoint{
		Day:     p.Day,
		Without: drift.Harm{Rich: p.Rich, Lean: p.Lean, RichBeyond: p.RichBeyond, LeanBeyond: p.LeanBeyond},
		Visited: drift.Harm{
			Rich: p.VisitedRich, Lean: p.VisitedLean, RichBeyond: p.VisitedRichBeyond, LeanBeyond: p.VisitedLeanBeyond,
		},
	}
}
