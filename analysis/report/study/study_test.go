package study

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/study"
	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// studiedVents is a made-up study: one question with every result, names that would
// be markup or a formula.
func studiedVents() *study.Study {
	counts := study.Counts{Rows: 40, Units: 31, Sites: 22, Segments: 37, Readings: 80}
	found := study.Contrast{Value: -0.1234, SE: 0.05, DF: 21.4, Low: -0.2273, High: -0.0195}
	s := &study.Study{
		AsOf: 20514, Settings: study.Config{
			Bound:   0.05,
			Primary: study.Primary{Kind: study.Rerouting, Fire: judge.High},
		}, PrimaryWhy: study.InConfiguration{},
		Flow: study.Flow{
			Units: 50, WithReadings: 48, Rows: map[study.Kind]int{study.Rerouting: 40},
			LeftOut: map[study.Unfit]int{study.OtherFuel: 3}, NotFitted: map[study.Missing]int{study.NoAir: 2},
		},
		NotMade: []study.NotMade{{
			Kind: study.Drift, Fire: judge.High, Response: "CO2", Measure: study.ByLength,
			Fit: study.PooledFit, Why: study.Failed{Err: errors.New("4 rows, 30 needed")},
		}},
		Corrections: []study.Correction{{
			Kind: study.Rerouting, Fire: judge.High, Naive: found, Corrected: found.Scaled(1.2),
			Added: []float64{0, 1, 2}, Slopes: []float64{-0.12, -0.11, -0.1}, Counts: counts,
		}},
		LengthErrors: study.LengthErrors{SD: 0.11, Low: 0.08, High: 0.15, From: study.FromRepeats, Pairs: 24},
		Predictions: []study.Prediction{{
			Kind: study.Rerouting, Fire: judge.High, Control: "=fixed <u>", Response: "CO2",
			Measure: study.ByLength, Unit: "points", Low: -0.2, Middle: -0.15, High: -0.1, Estimate: found, Inside: true, Counts: counts,
		}},
		Sensitivities: []study.Sensitivity{
			{Group: study.GroupDeclared, Measure: study.ByLength, Declared: 1},
			{Group: study.GroupAreas, Choice: study.Choice{Kind: study.OneOf, Of: "North <s>"}, Measure: study.ByLength, Declared: 1},
		},
	}
	s.Effects = []study.Effect{{
		Kind: study.Rerouting, Fire: judge.High, Response: "CO2", Measure: study.ByLength,
		Fit: study.PooledFit, Name: "vent", Unit: "points", Contrast: found, Primary: true, Counts: counts,
	}}
	for i := range s.Sensitivities {
		s.Sensitivities[i].Slopes[1] = study.Slope{Contrast: found, Counts: counts}
		s.Sensitivities[i].Slopes[0].NotMade, s.Sensitivities[i].Slopes[2].NotMade = study.NoPrinciples{}, study.NoPrinciples{}
	}
	d := study.Diagnostic{
		Kind: study.Rerouting, Fire: judge.High, Unit: "points", Measure: study.ByLength, Slope: -0.12,
		ResidualSD: 0.1, Counts: counts,
	}
	curve := study.Curve{Kind: study.Rerouting, Fire: judge.High, Measure: study.ByLength, Knots: []float64{0.1, 0.5, 0.9}, Counts: counts}
	for i := range 40 {
		x := float64(i) / 40
		s.Rows = append(s.Rows, study.Row{
			Kind: study.Rerouting, Serial: fmt.Sprintf("<b>%d", i), Site: "=HYPERLINK()",
			Fire: judge.High, After: day.Day(20000 + i), Set: day.None, LengthM: 3 + x, AirK: x, OfRun: x, LongestM: 30,
			OfFan: math.NaN(), CO2Points: -0.1 * x, Elbows90: -1,
		})
		s.Units = append(s.Units, study.UnitVent{Serial: "u", LengthM: 3 + 20*x, DiameterM: 0.2})
		d.Rows, d.Fitted, d.Residual = append(d.Rows, i), append(d.Fitted, -0.1*x), append(d.Residual, math.Sin(float64(i)))
		d.Leverage, d.Standardized, d.Quantile = append(d.Leverage, 0.05), append(d.Standardized, math.Sin(float64(i))), append(d.Quantile, x-0.5)
		d.Vent, d.Partial = append(d.Vent, x), append(d.Partial, math.Cos(float64(i)))
		curve.At, curve.Change = append(curve.At, x), append(curve.Change, -0.1*x)
		b := &curve.Band
		b.X, b.Y, b.Low, b.High = append(b.X, x), append(b.Y, -0.1*x), append(b.Low, -0.2), append(b.High, 0.1)
		b.AllLow, b.AllHigh = append(b.AllLow, -0.3), append(b.AllHigh, 0.2)
	}
	s.Diagnostics, s.Curves = []study.Diagnostic{d}, []study.Curve{curve}
	return s
}

// Every item of the checklist has an answer and a section of the page, in a study
// with everything and in one with nothing.
func TestVentChecklistIsComplete(t *testing.T) {
	section := regexp.MustCompile(`<section id=([a-z]+)>`)
	for _, s := range []*study.Study{{}, studiedVents()} {
		var b bytes.Buffer
		require.NoError(t, WriteVentsPage(&b, units.SI, s))
		there := map[string]bool{}
		for _, m := range section.FindAllStringSubmatch(b.String(), -1) {
			require.False(t, there[m[1]], "%s stands twice", m[1])
			there[m[1]] = true
		}
		items := words.VentChecklist(units.SI, s)
		require.Len(t, items, 22) // the statement has 22 items (from memory)
		for i, c := range items {
			require.Equal(t, i+1, c.Number)
			require.NotEmpty(t, strings.TrimSpace(c.Asks))
			require.Greater(t, len(strings.TrimSpace(c.Says)), 30, c.Asks)
			require.True(t, there[c.Section], "%s: there is no section %q", c.Asks, c.Section)
			require.NotContains(t, c.Says, "%!")
			require.NotContains(t, c.Says, "NaN")
		}
		for _, l := range words.VentLimits(units.SI, s) {
			require.Greater(t, len(l.Says), 40, l.Asks)
		}
	}
}

// The page is in the units of its reader.
func TestVentsPageInUnits(t *testing.T) {
	for _, c := range []struct {
		in          units.Set
		has, hasNot []string
	}{
		{
			units.SI,
			[]string{"<th scope=row>length, m<", "recorded length, m<", "diameter, mm<", "taken at 20 degC.", "change of air, K<"},
			[]string{", ft<", "degF"},
		},
		{
			units.System(units.US),
			[]string{"<th scope=row>length, ft<", "recorded length, ft<", "diameter, in<", "taken at 68 degF.", "change of air, degF<"},
			[]string{"length, m<", ", mm<", "degC", "readings, K<"},
		},
	} {
		var b bytes.Buffer
		require.NoError(t, WriteVentsPage(&b, c.in, studiedVents()))
		for _, text := range c.has {
			require.True(t, strings.Contains(b.String(), text), text)
		}
		for _, text := range c.hasNot {
			require.False(t, strings.Contains(b.String(), text), text)
		}
	}
}

// The page takes nothing of the register for markup, shows every part, and is whole
// without a single result.
func TestVentsPage(t *testing.T) {
	s := studiedVents()
	var b bytes.Buffer
	require.NoError(t, WriteVentsPage(&b, units.SI, s))
	page := b.String()
	for _, no := range []string{"<b>", "<i>", "<u>", "<s>", "NaN", "%!", "<script"} {
		require.False(t, strings.Contains(page, no), no)
	}
	require.Equal(t, 12, strings.Count(page, "<figure")) // estimates, map, curve, correction, and eight of what is left over
	require.Equal(t, strings.Count(page, "<figure"), strings.Count(page, "<figcaption>"))
	require.Contains(t, page, "drift, high, CO2 by "+study.ByLength+", pooled: 4 rows, 30 needed")
	require.Contains(t, page, "31 / 22 / 37 / 80 / 40")
	require.Contains(t, page, "24 repeated registers")
	require.Contains(t, page, "-0.041", "a third of -0.123: 10 m of runs of 30 m")
	b.Reset()
	require.NoError(t, WriteVentsPage(&b, units.SI, &study.Study{}))
	require.Contains(t, b.String(), "too few rows to say anything")
	require.NotContains(t, b.String(), "NaN")
}

// The drift model's section shows every spread with its error and what the records
// cannot tell, and calls nothing an effect of the vent that is not; the lines of the
// command say the same. Without a model the section says so.
func TestVentsPageShowsTheModel(t *testing.T) {
	s, nan := studiedVents(), math.NaN()
	require.Empty(t, words.ModelLines(s))
	bench := "bench, transport, gas and altitude, ratio"
	s.Model = &study.Model{
		Notes: []estimate.Note{estimate.CoarseSource{Source: &estimate.Source{Name: "a note <b>"}}},
		Spreads: []study.Spread{
			{Fire: judge.High, Unit: "points", Variance: drift.Variance{Part: drift.Noise, SD: 0.0651, SE: 0.0021, Rise: nan}},
			{Fire: judge.High, Unit: "points in a year", Variance: drift.Variance{Part: drift.Wandering, AtZero: true, SE: nan, Rise: nan}},
			{Fire: judge.High, Unit: "points a year", Variance: drift.Variance{Part: drift.UnitSlope, SD: 0.0432, SE: 0.0302, Rise: 3.24}},
		}, Effects: []study.ModelEffect{
			{
				Fit: string(study.Installation), Fire: judge.High, Name: bench, Unit: "points", Value: -0.321, SE: 0.05, Low: -0.419,
				High: -0.223, Units: 87, Ended: estimate.OfShifts{Shifts: 87},
			},
			{
				Fit: string(study.Installation), Fire: judge.High, Name: "vent, <u>", Unit: "points", Value: 0.456, SE: 0.1, Low: 0.26,
				High: 0.652, Vent: true, Units: 87, Ended: estimate.OfShifts{Shifts: 87},
			},
			{
				Fit: study.OffsetDrift, Fire: study.LowLessHigh, Name: "age unknown", Unit: "points a year", Value: nan, SE: nan,
				Low: nan, High: nan, Units: 70, Ended: estimate.AtOnce{}, Why: estimate.NotInFit{Why: drift.NeverChanges{}},
			},
		},
	}
	var b bytes.Buffer
	require.NoError(t, WriteVentsPage(&b, units.SI, s))
	page := b.String()
	for _, says := range []string{
		"<td>high<th scope=row>noise<td class=n>0.065<td class=n>0.002<td>points<td " +
			"class=n>-<td>not asked", "<td>not detected",
		"<td class=n>3.2<td>cannot be told from the others", bench +
			"<td>no<td class=n>-0.321", "vent, &lt;u&gt;<td>yes<td class=n>&#43;0.456<td class=n>0.100<td class=n>&#43;0.260 to &#43;0.652",
		"Spreads with their errors: 3; not told apart: wandering at high fire, unit slope at high fire<",
		"Installation, high fire, 87 units", "no effect of the vent on site.", "age unknown<td>no<td class=n>-<td", "a note &lt;b&gt;",
	} {
		require.Contains(t, page, says)
	}
	require.NotContains(t, page, "NaN")
	require.Equal(t, 1, strings.Count(page, "stand together, by burner control"), "only installation has a bench")
	lines := strings.Join(words.ModelLines(s), "\n")
	require.Contains(t, lines, "noise 0.065 points (0.002), wandering 0.000 points in a year: not detected, unit slope "+
		"0.043 points a year (0.030): cannot be told")
	require.Contains(t, lines, "vent, <u> +0.456 (+0.260 to +0.652)")
	require.NotContains(t, lines, bench)
	s.Model = nil
	b.Reset()
	require.NoError(t, WriteVentsPage(&b, units.SI, s))
	require.Contains(t, b.String(), "Not asked for.")
}

// A table of rows says which the fits take, leaves empty what is not known, and
// makes text harmless; the batch for Parquet has the same cells.
func TestVentRowsTable(t *testing.T) {
	s := studiedVents()
	s.Diagnostics[0].Rows = s.Diagnostics[0].Rows[:7]
	rows := ventRows(s)
	var b bytes.Buffer
	require.NoError(t, table.WriteCSV(&b, rows))
	lines := strings.Split(b.String(), "\r\n")
	require.Len(t, lines, 42)
	require.Contains(t, lines[1], "re-routing,<b>0,'=HYPERLINK()")
	require.Equal(t, 7, strings.Count(b.String(), ",yes,"))
	rec, err := table.ArrowRecord(rows)
	require.NoError(t, err)
	defer rec.Release()
	require.EqualValues(t, 40, rec.NumRows())
	for i, c := range rows.Columns {
		require.Equal(t, c.Name, rec.ColumnName(i))
		nulls := 0
		for _, row := range rows.Rows {
			if row[i].Missing() {
				nulls++
			}
		}
		require.Equal(t, nulls, rec.Column(i).NullN(), c.Name)
	}
	for _, table := range VentTables(s) {
		for _, c := range table.Columns {
			require.NotEmpty(t, c.Meaning, "%s of %s", c.Name, table.Name)
			require.NotEmpty(t, c.Source, "%s of %s", c.Name, table.Name)
		}
	}
}

// The script asks for the declared question's rows and no other's.
func TestVentsScriptAsksForTheDeclared(t *testing.T) {
	for fire, words := range map[judge.Fire]string{
		judge.High: `c("high", "single")`, judge.Low: `c("low")`,
		study.LowLessHigh: `c("low less high")`,
	} {
		for _, kind := range study.Kinds {
			var b bytes.Buffer
			require.NoError(t, WriteVentsScript(&b, &study.Study{Settings: study.Config{Primary: study.Primary{Kind: kind, Fire: fire}}}))
			require.Contains(t, b.String(), `question <- "`+string(kind)+`"`)
			require.Contains(t, b.String(), "fires <- "+words)
		}
	}
}
