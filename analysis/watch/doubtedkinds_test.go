package watch

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis"
	"fluedrift/model/judge"
)

// tested is a unit with five visits of its own: high at 9.0 % CO2 and 62 degC, low
// at 7.2 % and 50 degC, a little different from year to year, its air taken at an
// intake of its own on days of 9 degC; then a visit with the given readings on
// 3 November 2025, whose lines are 52 and those after.
func tested(adjusted string, last ...judge.Reading) *judge.History {
	h := again()
	h.Visits, h.Targets[1].Target = nil, co2Target(7.2)
	h.VentRuns[0].AirFrom = "own run"
	for k, d := range []float64{0, 0.1, -0.1, 0.1, 0} {
		visit(h, dayOf(2020+k, time.November, 3), "annual",
			measured(judge.High, 9.0+d, 14+float64(k), 62+10*d), measured(judge.Low, 7.2-d, 22+float64(k), 50-5*d))
	}
	visit(h, dayOf(2025, time.November, 3), "annual", last...)
	for i := range h.Visits {
		h.Visits[i].OutdoorTempC = 9
	}
	v := &h.Visits[len(h.Visits)-1]
	v.AdjustedHigh, v.AdjustedLow = adjusted, adjusted
	return h
}

// measured is an as found with air of 10 degC.
func measured(fire judge.Fire, co2, co, flueC float64) judge.Reading {
	t := highTarget
	if fire == judge.Low {
		t = co2Target(7.2)
	}
	r := withCO(reading(fire, judge.AsFound, co2, t), co, judge.AsMeasured, "")
	r.FlueTempC, r.AirTempC, r.VentRun = flueC, 10, 0
	return r
}

// but changes a reading in order.
func but(change func(*judge.Reading)) judge.Reading {
	r := measured(judge.High, 9.05, 12, 62.5)
	change(&r)
	return r
}

// doubtedCase is the last visit of a known unit and the rows that it must make.
type doubtedCase struct {
	adjusted string
	last     []judge.Reading
	rows     []Fix // column, value and line
	change   func(*judge.History)
}

func row(line int, column, value string) Fix { return Fix{Line: line, Column: column, Value: value} }

// doubtedCases are a case of every kind with a proposal. CO2max of natural gas is
// 11.8 %, O2 of 9.0 % CO2 is 5.0 % there; the other figures only have to lie
// beyond a rule.
var doubtedCases = map[judge.Kind][]doubtedCase{
	judge.OverCO2Max: {{judge.No, []judge.Reading{but(func(r *judge.Reading) { r.CO2Percent = 12.4 })}, []Fix{row(52, "co2", "12.4")}, nil}},
	judge.NoBurner:   {{judge.No, []judge.Reading{but(func(r *judge.Reading) { r.CO2Percent = 0 })}, []Fix{row(52, "co2", "0.0")}, nil}},
	judge.SwappedGases: {{
		judge.No,
		[]judge.Reading{but(func(r *judge.Reading) { r.CO2Percent, r.O2Percent, r.O2Decimals = 4.8, 9.0, 1 })},
		[]Fix{row(52, "co2, o2", "4.8 % CO2, 9 % O2")},
		nil,
	}},
	judge.OtherGas: {
		{judge.No, []judge.Reading{but(func(r *judge.Reading) { r.CO2Percent = 4.9 })}, []Fix{row(52, "co2", "4.9")}, nil},
		{judge.No, []judge.Reading{withO2(but(func(*judge.Reading) {}), 9.0)}, []Fix{row(52, "o2", "9.0")}, nil},
	},
	judge.PairApart: {{
		judge.No,
		[]judge.Reading{but(func(r *judge.Reading) { r.O2Percent, r.O2Decimals = 2.0, 1 })},
		[]Fix{row(52, "co2, o2", "9.1 % CO2, 2 % O2")},
		nil,
	}},
	judge.SwappedFires: {{
		judge.No,
		[]judge.Reading{measured(judge.High, 7.2, 14, 50.5), measured(judge.Low, 9.0, 12, 62.5)},
		[]Fix{row(52, "fire", "high"), row(53, "fire", "low")},
		nil,
	}},
	judge.LowRate: {{judge.No, []judge.Reading{but(func(r *judge.Reading) { r.RatePercent = 60 })}, []Fix{row(52, "rate", "60")}, nil}},
	judge.EarlyReading: {
		{judge.No, []judge.Reading{but(func(r *judge.Reading) { r.MinutesFiring = 1 })}, []Fix{row(52, "minutes_firing", "1")}, nil},
		{judge.No, []judge.Reading{but(func(r *judge.Reading) { r.FlueTempC = 33 })}, []Fix{row(52, "flue_temp", "33")}, nil},
	},
	judge.CopiedVisit: {
		{judge.No, []judge.Reading{measured(judge.High, 9.0, 18, 62)}, []Fix{row(52, "co2", "9.0")}, nil},
		{
			judge.No,
			[]judge.Reading{measured(judge.High, 9.0, 18, 62), but(func(r *judge.Reading) {
				*r = measured(judge.High, 9.0, 18,
					62)
				r.Condition = judge.AsLeft
			})},
			[]Fix{row(52, "co2", "9.0"), row(53, "co2", "9.0")},
			nil,
		},
	},
	judge.CopiedAsLeft: {{
		judge.Yes,
		[]judge.Reading{but(func(*judge.Reading) {}), but(func(r *judge.Reading) { r.Condition = judge.AsLeft })},
		[]Fix{row(53, "co2", "9.1")},
		nil,
	}},
	judge.ExactDouble: {{
		judge.No,
		[]judge.Reading{but(func(*judge.Reading) {}), but(func(*judge.Reading) {})},
		[]Fix{row(53, "co2", "9.1")},
		nil,
	}},
	judge.FoundTwice: {{
		judge.No,
		[]judge.Reading{but(tied), but(func(r *judge.Reading) { tied(r); r.CO2Percent = 9.3 })},
		[]Fix{row(52, "co2", "9.1"), row(53, "co2", "9.3")},
		nil,
	}},
	judge.COBasis: {{judge.No, []judge.Reading{
		but(func(r *judge.Reading) { r.O2Percent, r.COPPM = 4.9, 131 }),
		but(func(r *judge.Reading) {
			r.O2Percent, r.COPPM, r.COBasis, r.Condition = 4.9, 100, judge.AirFree, judge.AsLeft
		}),
	}, []Fix{row(53, "co", "100")}, nil}},
	judge.TempUnit: {{
		judge.No,
		[]judge.Reading{but(func(r *judge.Reading) { r.FlueTempC = 144 })},
		[]Fix{row(52, "flue_temp, air_temp", "144 degC, 10 degC")},
		nil,
	}},
	judge.RoomProbe: {{judge.No, []judge.Reading{but(func(r *judge.Reading) { r.AirTempC = 24 })}, []Fix{row(52, "air_temp", "24")}, nil}},
	judge.DateDisorder: {
		{
			judge.No,
			[]judge.Reading{but(func(*judge.Reading) {})},
			[]Fix{row(2, "date", "3 Nov 2020"), row(3, "date", "3 Nov 2020")},
			func(h *judge.History) { h.Unit.Installed = dayOf(2021, time.January, 1) },
		},
		{
			judge.No,
			[]judge.Reading{but(func(*judge.Reading) {})},
			[]Fix{row(52, "date", "3 Nov 2025"), row(62, "date", "3 Nov 2025")},
			func(h *judge.History) { // a second visit that day, and nobody knows which came first
				visit(h, dayOf(2025, time.November, 3), "annual", but(func(r *judge.Reading) { r.CO2Percent = 8.9 }))
			},
		},
	},
}

// tied says of an as-found reading that it is one of several.
func tied(r *judge.Reading) { r.Marks = judge.OrderUnknown }

// Of two as-found readings that may each be the first neither decides, nor the one
// nearer to the target: their mean is the newest value of the fire and makes the test.
func TestTwoAsFoundCountByTheirMean(t *testing.T) {
	found := func(co2 float64) judge.Reading {
		return but(func(r *judge.Reading) { tied(r); r.CO2Percent = co2 })
	}
	low := measured(judge.Low, 7.25, 13, 50.5)
	fullTest := func(h *judge.History, l *Line) bool {
		tests := func(r *judge.Reading) bool { return testsFire(h, r, testRules()) }
		return coversAll(firesRead(h, testRules(), tests)[len(h.Visits)-1], l.Fires)
	}
	for _, order := range [][]judge.Reading{{found(9.0), found(9.5), low}, {found(9.5), found(9.0), low}} {
		h := tested(judge.No, order...)
		l := Assess(h, testRules(), nil)
		require.InDelta(t, 9.25, l.Fires[0].CO2Percent, 1e-9)
		require.InDelta(t, 0.25, l.Fires[0].Points, 1e-9)
		require.Equal(t, LeftOutside, l.Ground)
		require.Contains(t, said(l)[0], "found at 9.25 % CO2")
		require.Contains(t, l.Marks, Mark{Mark: analysis.Mark{Kind: MarkFinding}, Finding: judge.FoundTwice})
		require.False(t, fullTest(h, &l), "9.25 lies outside 9.0 ±0.2: no full test")
		story := Tell(h, l, testRules())
		require.Len(t, slices.DeleteFunc(story.Entries, func(e Entry) bool {
			return Say.Fire(&e) != "high fire" ||
				e.Day != dayOf(2025, time.November, 3)
		}), 2, "both are shown")
		sheet := SheetOf(h, &l, testRules(), nil)
		require.Contains(t, Say.Sheet(&sheet).Found[0], "; or ")
	}
	h := tested(judge.No, found(9.0), found(9.2), low)
	inside := Assess(h, testRules(), nil)
	require.True(t, fullTest(h, &inside))
}

// Every kind of finding with a proposal makes its rows among the records to fix:
// file, line, column and value as recorded, the kind as reason, and what to do.
// A reading in order makes none, and a kind without a case fails.
func TestEveryKindIsARecordToFix(t *testing.T) {
	require.Empty(t, FixesOf(Assess(tested(judge.No, but(func(*judge.Reading) {}), measured(judge.Low, 7.25, 13, 50.5)), testRules(), nil)))
	for _, kind := range proposed {
		require.NotEmpty(t, doubtedCases[kind], kind.String())
		for k, c := range doubtedCases[kind] {
			h := tested(c.adjusted, c.last...)
			if c.change != nil {
				c.change(h)
			}
			var rows []Fix
			for _, f := range fixes(Assess(h, testRules(), nil)) {
				if f.Found == nil || f.Reason != kind.String() {
					continue
				}
				rows = append(rows, row(f.Line, f.Column, f.Value))
				require.Equal(t, "north.csv", f.File, kind.String())
				require.Equal(t, "0070-1", f.Serial, kind.String())
				require.Equal(t, h.Readings[at(h, f.Line)].Day, f.Day, kind.String())
				found := Say.Finding(f.Found.History, f.Found.Finding)
				require.True(t, strings.HasPrefix(f.Message[1:], found[1:]+". ") && len(f.Message) > len(found)+2, "%s: %s", kind, f.Message)
				require.NotContains(t, f.Message, "NaN", kind.String())
				require.Equal(t, f.Day == dayOf(2025, time.November, 3), f.Open, kind.String())
			}
			require.Equal(t, c.rows, rows, "%s, case %d", kind, k)
		}
	}
	require.Len(t, doubtedCases, len(proposed))
}

// at is the reading of a line.
func at(h *judge.History, line int) int {
	return slices.IndexFunc(h.Readings, func(r judge.Reading) bool { _, n := origin(r.Origin); return n == line })
}

// A value that is not recorded is none in its row, and the kinds' reasons differ.
func TestDoubtedValuesThatAreMissing(t *testing.T) {
	nan := math.NaN()
	r := but(func(r *judge.Reading) { r.FlueTempC, r.AirTempC, r.RatePercent = nan, nan, nan })
	h := &judge.History{Readings: []judge.Reading{r}}
	of := func(k judge.Kind, facts judge.Facts) *Found {
		return &Found{&judge.Finding{Kind: k, Readings: []int{0}, Facts: facts}, h}
	}
	rows := []Fix{
		{Column: findingColumn(judge.LowRate, &r), Found: of(judge.LowRate, judge.NotHigh{FromPercent: 80}), Reading: &r},
		{Column: findingColumn(judge.TempUnit, &r), Found: of(judge.TempUnit, judge.FlueBelowAir{}), Reading: &r},
	}
	Say.Fixes(rows)
	require.Equal(t, []string{"rate", ""}, []string{rows[0].Column, rows[0].Value})
	require.Equal(t, []string{"flue_temp, air_temp", "-, -"}, []string{rows[1].Column, rows[1].Value})
	reasons := map[string]bool{}
	for _, kind := range proposed {
		reasons[kind.String()] = true
	}
	require.Len(t, reasons, len(proposed))
}
