package estimate

import (
	"context"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/apache/arrow/go/v17/arrow"
	"github.com/apache/arrow/go/v17/arrow/array"
	"github.com/apache/arrow/go/v17/arrow/memory"

	"fluedrift/analysis"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// listMark separates the texts of one cell that holds several.
const listMark = "|"

// shiftUnits is how many units a night fits its shifts to: analyzers of the bench
// join all others, and a thousand units tell the shift to some thousandths.
const shiftUnits = 1000

// Save writes an estimate to the schema result, which nothing else writes. It adds
// the shifts at installation and at re-routing, which no forecast needs.
func Save(ctx context.Context, w *queries.Warehouse, histories []*judge.History, f *Fleet) error {
	shifts, err := f.nightShifts(ctx)
	if err != nil {
		return fmt.Errorf("fit the shifts: %w", err)
	}
	for _, t := range []struct {
		name string
		rec  arrow.Record
	}{
		{"result.predictions", record(predictionColumns, predictions(histories, f))},
		{"result.findings", record(findingColumns, findings(histories, f))},
		{"result.judgements", record(judgementColumns, judgements(histories, f))},
		{"result.fits", record(fitColumns, f.Fits)},
		{"result.coefficients", record(coefficientColumns, coefficients(f))},
		{"result.analyzers", record(analyzerColumns, analyzers(f))},
		{"result.level_steps", record(stepColumns, stepRows(f))},
		{"result.unconfirmed", record(openColumns, openRows(histories, f))},
		{"result.shifts", record(shiftColumns, shiftRows(shifts))},
	} {
		err := w.Load(ctx, t.name, t.rec)
		t.rec.Release()
		if err != nil {
			return fmt.Errorf("save the estimate: %w", err)
		}
	}
	return nil
}

// col is a column of a result table and the way to its value in a row: a
// string, float64, int32, day or bool; a missing one ("", NaN, no day) is null.
type col[T any] struct {
	name  string
	value func(*T) any
}

// day tells a day from a whole number.
type day int32

// record makes an Arrow record of rows.
func record[T any](columns []col[T], rows []T) arrow.Record {
	var blank T
	fields := make([]arrow.Field, len(columns))
	for i, c := range columns {
		fields[i] = arrow.Field{Name: c.name, Type: typeOf(c.value(&blank)), Nullable: true}
	}
	b := array.NewRecordBuilder(memory.DefaultAllocator, arrow.NewSchema(fields, nil))
	defer b.Release()
	for r := range rows {
		for i, c := range columns {
			add(b.Field(i), c.value(&rows[r]))
		}
	}
	return b.NewRecord()
}

func typeOf(v any) arrow.DataType {
	switch v.(type) {
	case string:
		return arrow.BinaryTypes.String
	case float64:
		return arrow.PrimitiveTypes.Float64
	case int32:
		return arrow.PrimitiveTypes.Int32
	case day:
		return arrow.FixedWidthTypes.Date32
	case bool:
		return arrow.FixedWidthTypes.Boolean
	}
	panic(fmt.Sprintf("no column holds a %T", v))
}

func add(b array.Builder, v any) {
	switch v := v.(type) {
	case string:
		if v == "" {
			b.AppendNull()
			return
		}
		b.(*array.StringBuilder).Append(v)
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			b.AppendNull()
			return
		}
		b.(*array.Float64Builder).Append(v)
	case int32:
		b.(*array.Int32Builder).Append(v)
	case day:
		if int32(v) == judge.NoDay {
			b.AppendNull()
			return
		}
		b.(*array.Date32Builder).Append(arrow.Date32(v))
	case bool:
		b.(*array.BooleanBuilder).Append(v)
	}
}

// prediction is a fire's forecast with the unit it belongs to.
type prediction struct {
	unit int32
	fire analysis.FireForecast
}

func predictions(histories []*judge.History, f *Fleet) (rows []prediction) {
	for i, h := range histories {
		for _, fire := range f.Forecasts[i].Fires {
			rows = append(rows, prediction{h.Unit.Key, fire})
		}
	}
	return rows
}

var predictionColumns = []col[prediction]{
	{"unit_key", func(p *prediction) any { return p.unit }},
	{"fire", func(p *prediction) any { return p.fire.Fire }},
	{"target_co2_percent", func(p *prediction) any { return p.fire.TargetCO2Percent }},
	{"act_rich_points", func(p *prediction) any { return p.fire.ActRichPercent }},
	{"act_lean_points", func(p *prediction) any { return p.fire.ActLeanPercent }},
	{"co2_percent", func(p *prediction) any { return p.fire.CO2Percent }},
	{"low_percent", func(p *prediction) any { return p.fire.LowPercent }},
	{"high_percent", func(p *prediction) any { return p.fire.HighPercent }},
	{"recorded_low_percent", func(p *prediction) any { return p.fire.RecordedLowPercent }},
	{"recorded_high_percent", func(p *prediction) any { return p.fire.RecordedHighPercent }},
	{"today_rich", func(p *prediction) any { return p.fire.Today.Rich }},
	{"today_lean", func(p *prediction) any { return p.fire.Today.Lean }},
	{"planned_day", func(p *prediction) any { return day(p.fire.Planned.Day) }},
	{"planned_rich", func(p *prediction) any { return p.fire.Planned.Rich }},
	{"planned_lean", func(p *prediction) any { return p.fire.Planned.Lean }},
	{"worst_day", func(p *prediction) any { return day(p.fire.Worst.Day) }},
	{"worst_rich", func(p *prediction) any { return p.fire.Worst.Rich }},
	{"worst_lean", func(p *prediction) any { return p.fire.Worst.Lean }},
	{"outside_from", func(p *prediction) any { return day(p.fire.FirstOutsideFrom) }},
	{"outside_to", func(p *prediction) any { return day(p.fire.FirstOutsideTo) }},
	{"outside_words", func(p *prediction) any { return p.fire.FirstOutside }},
	{"part_names", func(p *prediction) any { return partNames(p.fire.Parts) }},
	{"part_points", func(p *prediction) any { return partPoints(p.fire.Parts) }},
	{"verify_day", func(p *prediction) any { return day(verify(p).Day) }},
	{"verify_read_percent", func(p *prediction) any { return verify(p).ReadPercent }},
	{"verify_expected_percent", func(p *prediction) any { return verify(p).ExpectedPercent }},
	{"verify_mistake", func(p *prediction) any { return verify(p).MistakeProbability }},
	{"verify_out", func(p *prediction) any { return verify(p).LargerOut }},
	{"suspect_analyzer", func(p *prediction) any { return suspect(p).Analyzer }},
	{"suspect_points", func(p *prediction) any { return suspect(p).Points }},
	{"suspect_verdict", func(p *prediction) any { return string(suspect(p).Verdict) }},
	{"marks", func(p *prediction) any { return strings.Join(p.fire.Marks, listMark) }},
	{"path", func(p *prediction) any { return pathText(p.fire.Path) }},
}

// verify returns what is said of an unconfirmed last reading, missing values
// where there is none.
func verify(p *prediction) analysis.Verify {
	if p.fire.Verify != nil {
		return *p.fire.Verify
	}
	nan := math.NaN()
	return analysis.Verify{Day: judge.NoDay, ReadPercent: nan, ExpectedPercent: nan, MistakeProbability: nan, LargerOut: nan}
}

// suspect returns what is said of the last reading's instrument, missing values
// where it stands with the others.
func suspect(p *prediction) analysis.Suspect {
	if p.fire.Suspect != nil {
		return *p.fire.Suspect
	}
	return analysis.Suspect{Points: math.NaN()}
}

// pathText puts the days ahead in one cell: "day co2 low high" each.
func pathText(path []analysis.PathPoint) string {
	var b []byte
	for i, p := range path {
		if i > 0 {
			b = append(b, listMark...)
		}
		b = strconv.AppendInt(b, int64(p.Day), 10)
		for _, v := range []float64{p.CO2Percent, p.LowPercent, p.HighPercent} {
			b = strconv.AppendFloat(append(b, ' '), v, 'g', -1, 64)
		}
	}
	return string(b)
}

func partNames(parts []analysis.Part) string {
	var names []string
	for _, p := range parts {
		names = append(names, string(p.Kind))
	}
	return strings.Join(names, listMark)
}

func partPoints(parts []analysis.Part) string {
	var points []string
	for _, p := range parts {
		points = append(points, strconv.FormatFloat(p.Points, 'g', -1, 64))
	}
	return strings.Join(points, listMark)
}
