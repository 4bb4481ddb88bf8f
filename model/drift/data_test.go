package drift

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// The data sets in testdata, with their origin:
//
//	sleepstudy.csv  Belenky et al. 2003, J. Sleep Res. 12:1-12, as shipped with R package lme4 1.1-31
//	orthodont.csv   Potthoff and Roy 1964, Biometrika 51:313-326, as shipped with R package nlme 3.1-162
//	penicillin.csv  Davies and Goldsmith (eds) 1972, Statistical Methods in Research and Production, as shipped with lme4 1.1-31
//	pastes.csv      the same book, as shipped with lme4 1.1-31
//	fixture_small.csv  invented: readings of 40 units in this project's own form
//
// Column x of the last two is ((7 i) mod 11)/10, i the row: an arbitrary covariate.

// row is a reading with its segment given.
type row struct {
	unit, segment string
	t, y          float64
	level         []float64
	analyzer      int
	period        int
	w             float64
	rate, grow    []float64 // of the unit, the first row's count
}

// table reads a test file as columns.
func table(t testing.TB, name string) (int, func(col string, i int) string) {
	t.Helper()
	file, err := os.Open("testdata/" + name)
	require.NoError(t, err)
	defer file.Close()
	lines, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	at := map[string]int{}
	for i, h := range lines[0] {
		at[h] = i
	}
	return len(lines) - 1, func(col string, i int) string {
		k, ok := at[col]
		require.True(t, ok, col)
		return lines[i+1][k]
	}
}

func number(t testing.TB, s string) float64 {
	x, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return x
}

// labels numbers texts in the order in which they appear.
type labels map[string]int

func (l labels) of(s string) int {
	if n, ok := l[s]; ok {
		return n
	}
	l[s] = len(l)
	return l[s]
}

// fleetOf makes a fleet of rows whose segments are given: a change of burner
// stands before each, and no other rule breaks one.
func fleetOf(t testing.TB, design Design, rows []row) *Fleet {
	f, err := NewFleet(inputOf(design, rows))
	require.NoError(t, err)
	return f
}

func inputOf(design Design, rows []row) Input {
	in := Input{Design: design, Rules: DefaultConfig()}
	in.Rules.MaxGapYears = math.Inf(1)
	units := labels{}
	for i, r := range rows {
		u := units.of(r.unit)
		if u == len(in.Series) {
			in.Series = append(in.Series, Series{Unit: r.unit, Runs: []Run{{Rate: r.rate, Grow: r.grow}}})
		}
		v := Visit{
			T: r.t, Adjusted: No, Analyzer: r.analyzer, Period: r.period,
			Readings: []Reading{{Y: r.y, Analyzer: r.analyzer, Period: r.period, W: r.w, Level: r.level}},
		}
		if i > 0 && (rows[i-1].unit != r.unit || rows[i-1].segment != r.segment) {
			v.Before = ChangeBurner
		}
		in.Series[u].Visits = append(in.Series[u].Visits, v)
		in.Analyzers, in.Periods = max(in.Analyzers, r.analyzer+1), max(in.Periods, r.period+1)
	}
	return in
}

func sleepstudy(t testing.TB) []row {
	n, get := table(t, "sleepstudy.csv")
	var rows []row
	for i := range n {
		rows = append(rows, row{
			unit: get("Subject", i), t: number(t, get("Days", i)), y: number(t, get("Reaction", i)),
			analyzer: -1, period: -1, rate: []float64{1},
		})
	}
	return rows
}

func orthodont(t testing.TB) []row {
	n, get := table(t, "orthodont.csv")
	var rows []row
	for i := range n {
		rows = append(rows, row{
			unit: get("Subject", i), t: number(t, get("age", i)), y: number(t, get("distance", i)),
			analyzer: -1, period: -1, rate: []float64{1, number(t, get("fem", i))},
		})
	}
	return rows
}

// crossed reads a table without time: segments, analyzers, and x if asked for.
func crossed(t testing.TB, file, y, segment, analyzer string, withX bool) []row {
	n, get := table(t, file)
	var rows []row
	names := labels{}
	for i := range n {
		r := row{unit: get(segment, i), y: number(t, get(y, i)), analyzer: names.of(get(analyzer, i)), period: -1}
		if withX {
			r.level = []float64{number(t, get("x", i))}
		}
		rows = append(rows, r)
	}
	return rows
}

func fixture(t testing.TB) []row {
	n, get := table(t, "fixture_small.csv")
	var rows []row
	for i := range n {
		num := func(col string) float64 { return number(t, get(col, i)) }
		rows = append(rows, row{
			unit: get("unit", i), segment: get("segment", i), t: num("t"), y: num("y"),
			level: []float64{num("temp") - 10}, analyzer: int(num("analyzer")) - 1, period: -1,
			rate: []float64{1, num("r"), num("age0")}, grow: []float64{0, 0, 1},
		})
	}
	return rows
}

var (
	oneRate       = Design{Drift: []Column{{Name: "time"}}}
	twoRates      = Design{Drift: []Column{{Name: "time"}, {Name: "fem"}}}
	oneLevel      = Design{Level: []Column{{Name: "x"}}}
	fixtureDesign = Design{Level: []Column{{Name: "temp"}}, Drift: []Column{{Name: "time"}, {Name: "vent"}, {Name: "age"}}}
)
