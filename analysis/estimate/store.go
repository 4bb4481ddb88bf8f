package estimate

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

// shiftUnits is how many units a night fits its shifts to: analyzers of the bench
// join all others, and a thousand units tell the shift to some thousandths.
const shiftUnits = 1000

// Sentences make what people read in the schema result beside kinds and numbers.
// Package words has them.
type Sentences struct {
	Finding func(*judge.History, *judge.Finding) string
	Note    func(Note) string
	Ended   func(Ended) string
	WhyNot  func(WhyNot) string
	Step    func(*StepSuspected) string
	Action  func(drift.Action) string // what was done about an unconfirmed reading
}

// notes are those of a fit.
func (s Sentences) notes(notes []Note) (all []string) {
	for _, n := range notes {
		all = append(all, s.Note(n))
	}
	return all
}

// whyNot is why not to use a coefficient; "" where nothing speaks against it.
func (s Sentences) whyNot(why WhyNot) string {
	if why == nil {
		return ""
	}
	return s.WhyNot(why)
}

// dropped is why a column is not in a fit; "" where it is.
func (s Sentences) dropped(why drift.Absence) string { return s.whyNot(notInFit(why)) }

// Save writes an estimate to the schema result, which nothing else writes. It adds
// the shifts at installation and at re-routing, which no forecast needs.
func Save(ctx context.Context, w *queries.Warehouse, histories []*judge.History, f *Fleet, say Sentences) error {
	shifts, err := f.nightShifts(ctx)
	if err != nil {
		return fmt.Errorf("fit the shifts: %w", err)
	}
	for _, load := range []func() error{
		func() error {
			return queries.LoadRows(ctx, w, "result.predictions", queries.PredictionFields, predictions(histories, f))
		},
		func() error {
			return queries.LoadRows(ctx, w, "result.findings", queries.FindingFields, findings(histories, f, say.Finding))
		},
		func() error {
			return queries.LoadRows(ctx, w, "result.judgements", queries.JudgementFields, judgements(histories, f))
		},
		func() error { return queries.LoadRows(ctx, w, "result.fits", queries.FitFields, fitRows(f, say)) },
		func() error {
			return queries.LoadRows(ctx, w, "result.coefficients", queries.CoefficientFields, coefficients(f, say))
		},
		func() error { return queries.LoadRows(ctx, w, "result.analyzers", queries.BiasFields, biases(f)) },
		func() error {
			return queries.LoadRows(ctx, w, "result.level_steps", queries.LevelStepFields, stepRows(f, say))
		},
		func() error {
			return queries.LoadRows(ctx, w, "result.unconfirmed", queries.UnconfirmedFields, openRows(histories, f, say))
		},
		func() error {
			return queries.LoadRows(ctx, w, "result.shifts", queries.ShiftFields, shiftRows(shifts, say))
		},
	} {
		if err := load(); err != nil {
			return fmt.Errorf("save the estimate: %w", err)
		}
	}
	return nil
}

func predictions(histories []*judge.History, f *Fleet) (rows []queries.Prediction) {
	for i, h := range histories {
		for k := range f.Forecasts[i].Fires {
			rows = append(rows, predictionOf(h.Unit.Key, &f.Forecasts[i].Fires[k]))
		}
	}
	return rows
}

// predictionOf is the forecast of a unit at one fire as it is stored.
func predictionOf(unit int32, f *analysis.FireForecast) queries.Prediction {
	verify, suspect := verify(f), suspect(f)
	p := queries.Prediction{
		UnitKey: unit, Fire: f.Fire,
		TargetCO2Percent: f.TargetCO2Percent, ActRichPoints: f.ActRichPercent, ActLeanPoints: f.ActLeanPercent,
		CO2Percent: f.CO2Percent, LowPercent: f.LowPercent, HighPercent: f.HighPercent,
		RecordedLowPercent: f.RecordedLowPercent, RecordedHighPercent: f.RecordedHighPercent,
		TodayRich: f.Today.Rich, TodayLean: f.Today.Lean,
		PlannedDay: f.Planned.Day, PlannedRich: f.Planned.Rich, PlannedLean: f.Planned.Lean,
		WorstDay: f.Worst.Day, WorstRich: f.Worst.Rich, WorstLean: f.Worst.Lean,
		Outside: string(f.FirstOutside), OutsideFrom: f.FirstOutsideFrom, OutsideTo: f.FirstOutsideTo,
		UnconfirmedDay: verify.Day, UnconfirmedReadPercent: verify.ReadPercent, UnconfirmedExpectedPercent: verify.ExpectedPercent,
		UnconfirmedMistake: verify.MistakeProbability, UnconfirmedOut: verify.LargerOut,
		SuspectAnalyzer: suspect.Analyzer, SuspectPoints: suspect.Points, SuspectVerdict: string(suspect.Verdict),
		AimPoints: f.Aim.Points, AimGainDays: f.Aim.GainDays,
	}
	for _, m := range f.Marks {
		stored := queries.Mark{Kind: string(m.Kind), Points: m.Points, Day: day.None}
		if m.Kind == analysis.MarkByHindsight {
			stored.Day = m.Day
		}
		p.Marks = append(p.Marks, stored)
	}
	for _, part := range f.Parts {
		p.Parts = append(p.Parts, queries.Part{Kind: string(part.Kind), Points: part.Points})
	}
	for _, point := range f.Path {
		p.Path = append(p.Path, queries.PathPoint(point))
	}
	for i := range f.Harm {
		p.Harm = append(p.Harm, harmRow(&f.Harm[i]))
	}
	return p
}

// harmRow is a day's harm as it is stored.
func harmRow(p *analysis.HarmPoint) queries.HarmPoint {
	return queries.HarmPoint{
		Day: p.Day, Rich: p.Without.Rich, Lean: p.Without.Lean, RichBeyond: p.Without.RichBeyond, LeanBeyond: p.Without.LeanBeyond,
		VisitedRich: p.Visited.Rich, VisitedLean: p.Visited.Lean,
		VisitedRichBeyond: p.Visited.RichBeyond, VisitedLeanBeyond: p.Visited.LeanBeyond,
	}
}

// verify returns what is said of an unconfirmed last reading, missing values
// where there is none.
func verify(f *analysis.FireForecast) analysis.Unconfirmed {
	if f.Unconfirmed != nil {
		return *f.Unconfirmed
	}
	nan := math.NaN()
	return analysis.Unconfirmed{Day: day.None, ReadPercent: nan, ExpectedPercent: nan, MistakeProbability: nan, LargerOut: nan}
}

// suspect returns what is said of the last reading's instrument, missing values
// where it stands with the others.
func suspect(f *analysis.FireForecast) analysis.Suspect {
	if f.Suspect != nil {
		return *f.Suspect
	}
	return analysis.Suspect{Points: math.NaN()}
}
