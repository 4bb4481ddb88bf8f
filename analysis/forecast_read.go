package analysis

import (
	"context"
	"fmt"
	"math"
	"strconv"
	"strings"

	"fluedrift/queries"
)

// Forecasts reads back the forecasts the warehouse was estimated with, by the
// key of the unit: of all units, or of the one of the serial. A unit without a
// forecast is absent.
func Forecasts(ctx context.Context, w *queries.Warehouse, serial string) (map[int32]*Forecast, error) {
	slices, err := w.Slices(ctx, serial)
	if err != nil {
		return nil, fmt.Errorf("read forecasts: %w", err)
	}
	all := map[int32]*Forecast{}
	for _, s := range slices {
		rows, err := w.Predictions(ctx, s)
		if err != nil {
			return nil, fmt.Errorf("read forecasts: %w", err)
		}
		for i := range rows {
			fire, err := fireForecast(&rows[i], w.AsOf())
			if err != nil {
				return nil, fmt.Errorf("read forecasts, unit %d: %w", rows[i].UnitKey, err)
			}
			f := all[rows[i].UnitKey]
			if f == nil {
				f = &Forecast{}
				all[rows[i].UnitKey] = f
			}
			f.Fires = append(f.Fires, fire)
		}
	}
	return all, nil
}

// fireForecast turns a row back into a forecast.
func fireForecast(p *queries.Prediction, asOf int32) (FireForecast, error) {
	f := FireForecast{
		Fire: p.Fire, RatePercent: math.NaN(), CO2Percent: p.CO2Percent, LowPercent: p.LowPercent, HighPercent: p.HighPercent,
		TargetCO2Percent: p.TargetCO2Percent, ActRichPercent: p.ActRichPoints, ActLeanPercent: p.ActLeanPoints,
		Today:            Chance{asOf, p.TodayRich, p.TodayLean},
		Planned:          Chance{p.PlannedDay, p.PlannedRich, p.PlannedLean},
		Worst:            Chance{p.WorstDay, p.WorstRich, p.WorstLean},
		FirstOutsideFrom: p.OutsideFrom, FirstOutsideTo: p.OutsideTo, FirstOutside: p.OutsideWords,
		RecordedLowPercent: p.RecordedLowPercent, RecordedHighPercent: p.RecordedHighPercent,
	}
	if p.Marks != "" {
		f.Marks = strings.Split(p.Marks, "|")
	}
	if p.VerifyDay != queries.NoDay {
		f.Verify = &Verify{p.VerifyDay, p.VerifyReadPercent, p.VerifyExpectedPercent, p.VerifyMistake, p.VerifyOut}
	}
	if p.SuspectAnalyzer != "" {
		f.Suspect = &Suspect{Analyzer: p.SuspectAnalyzer, Points: p.SuspectPoints, Verdict: Verdict(p.SuspectVerdict)}
	}
	path, err := pathOf(p.Path)
	if err != nil {
		return f, err
	}
	f.Path = path
	if p.PartNames == "" {
		return f, nil
	}
	points := strings.Split(p.PartPoints, "|")
	for i, name := range strings.Split(p.PartNames, "|") {
		v, err := strconv.ParseFloat(points[i], 64)
		if err != nil {
			return f, err
		}
		f.Parts = append(f.Parts, Part{name, v})
	}
	return f, nil
}

// pathOf reads the days ahead back from their cell.
func pathOf(text string) ([]PathPoint, error) {
	if text == "" {
		return nil, nil
	}
	var path []PathPoint
	for point := range strings.SplitSeq(text, "|") {
		var p PathPoint
		if _, err := fmt.Sscanf(point, "%d %g %g %g", &p.Day, &p.CO2Percent, &p.LowPercent, &p.HighPercent); err != nil {
			return nil, fmt.Errorf("expected path %q: %w", point, err)
		}
		path = append(path, p)
	}
	return path, nil
}
