package drift

import (
	"fmt"
	"math"
	"os"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/datasets/measured"
)

// classes is how many classes of burner control the full columns have.
const costClasses = 6

// fullColumns turns an invented fleet into one with columns as many as a product's:
// air, time, vent and unknown vent by class, two fuels, age, settling.
func fullColumns(in Input) Input {
	d := Design{Settling: true}
	for k := range costClasses {
		d.Level = append(d.Level, Column{Name: fmt.Sprint("air ", k)})
		unknown := fmt.Sprint("vent unknown ", k)
		d.Drift = append(d.Drift, Column{Name: fmt.Sprint("time ", k)}, Column{Name: fmt.Sprint("vent ", k), Companion: unknown},
			Column{Name: unknown})
	}
	age, fuel := len(d.Drift), len(d.Drift)+1
	d.Drift = append(d.Drift, Column{Name: "age"}, Column{Name: "fuel 1"}, Column{Name: "fuel 2"})
	for u := range in.Series {
		s, k := &in.Series[u], u%costClasses
		rate, grow := make([]float64, len(d.Drift)), make([]float64, len(d.Drift))
		old := s.Runs[0].Rate
		rate[3*k], rate[3*k+1], rate[age], grow[age] = 1, old[1], old[3], 1
		if u%23 == 0 {
			rate[3*k+1] = math.NaN()
		}
		if u%7 < 2 {
			rate[fuel+u%7] = 1
		}
		s.Runs = []Run{{Rate: rate, Grow: grow}}
		widen := func(level []float64) []float64 {
			out := make([]float64, costClasses)
			out[k] = level[0]
			return out
		}
		for v := range s.Visits {
			vis := &s.Visits[v]
			vis.Level = widen(vis.Level)
			for r := range vis.Readings {
				vis.Readings[r].Level = widen(vis.Readings[r].Level)
			}
		}
	}
	in.Design = d
	return in
}

// spent returns the processor seconds of the best of some runs: on a shared
// machine the others tell of the neighbours.
func spent(t *testing.T, runs int, do func()) float64 {
	now := func() float64 {
		var r syscall.Rusage
		require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &r))
		return float64(r.Utime.Sec+r.Stime.Sec) + float64(r.Utime.Usec+r.Stime.Usec)/1e6
	}
	best := math.Inf(1)
	for range runs {
		start := now()
		do()
		best = math.Min(best, now()-start)
	}
	return best
}

// costOf is one evaluation and one search from cold, CPU seconds.
func costOf(t *testing.T, f *Fleet, th Theta) (evaluation, search float64, evaluations int) {
	evaluation = spent(t, 5, func() {
		_, _, err := f.Criterion(ctx, th, EvaluateOptions{})
		require.NoError(t, err)
	})
	search = spent(t, 1, func() {
		end, err := Search{}.Ratios(ctx, f, th, EvaluateOptions{})
		require.NoError(t, err)
		require.Nil(t, end.Fallback)
		evaluations = end.Evaluations
	})
	return evaluation, search, evaluations
}

// Processor seconds of one core against their bounds: one evaluation under 0.1 at
// 100,000 units (Q = 200); estimation from cold under 1 at 10,000 units and 15 at
// 100,000 (one fire, four fixed effects, one analyzer block, Q = 50); a cost that
// grows as the readings do, slope 0.95 to 1.05; a million forecasts with intervals
// under 5. A product's columns and two blocks are shown beside them.
func TestCost(t *testing.T) {
	if os.Getenv("FLUEDRIFT_LONG") == "" {
		t.Skip("some minutes and 3 GB: set FLUEDRIFT_LONG")
	}
	plain := Theta{Q: 1, Tau: 1, B1: 1}
	fmt.Printf("| units | Q | columns | differences | evaluation, CPU s | from cold, CPU s | evaluations |\n|---|---|---|---|---|---|---|\n")
	kept := measured.Of(t, "drift-cost")
	show := func(units int, f *Fleet, th Theta) (float64, float64) {
		e, s, n := costOf(t, f, th)
		fmt.Printf("| %d | %d | %d | %d | %.4f | %.2f | %d |\n", units, f.in.Analyzers+f.in.Periods, len(f.used), f.counts.Differences, e, s, n)
		of := fmt.Sprintf("%d units, %d analyzers and periods, %d columns", units, f.in.Analyzers+f.in.Periods, len(f.used))
		kept.Number(of, "differences", float64(f.counts.Differences), 0, "")
		kept.Number(of, "an evaluation, CPU s", e, 4, "")
		kept.Number(of, "from cold, CPU s", s, 2, "")
		kept.Number(of, "evaluations", float64(n), 0, "")
		return e, s
	}
	_, ten := show(10_000, costFleet(t, 10_000, 50), plain)
	_, hundred := show(100_000, costFleet(t, 100_000, 50), plain)
	wide, _ := show(100_000, costFleet(t, 100_000, 200), plain)
	for _, analyzers := range []int{6, 33, 122} {
		f, err := NewFleet(fullColumns(invented(10_000, analyzers, 1)))
		require.NoError(t, err)
		show(10_000, f, FixedRatios)
	}
	slope := costSlope(t, plain)
	million := millionForecasts(t)
	fmt.Printf("\nlog-log slope of the cost of an evaluation in readings, 12,500 to 200,000 units: %.3f\n"+
		"a million forecasts with intervals: %.2f CPU s\n", slope, million)
	fmt.Printf("ratios to the bounds: evaluation %.2f, from cold %.2f and %.2f, forecasts %.2f\n", wide/0.1, ten/1, hundred/15, million/5)
	kept.Number("12,500 to 200,000 units", "log-log slope of an evaluation", slope, 3, "0.95 to 1.05")
	kept.Number("a million forecasts", "CPU s", million, 2, "at most 5")
	kept.Number("bounds", "share used: an evaluation of 100,000 units, Q = 200", wide/0.1, 2, "1")
	kept.Number("bounds", "share used: 10,000 units from cold", ten, 2, "1")
	kept.Number("bounds", "share used: 100,000 units from cold", hundred/15, 2, "1")
	assert.Less(t, wide, 0.1)
	assert.Less(t, ten, 1.0)
	assert.Less(t, hundred, 15.0)
	assert.Less(t, million, 5.0)
	assert.InDelta(t, 1, slope, 0.05)
}

// costSlope is the slope of log cost in log readings. The sizes take turns, so that
// what else the machine does falls on all of them.
func costSlope(t *testing.T, th Theta) float64 {
	var fleets []*Fleet
	var logN, logE []float64
	for _, units := range []int{12_500, 25_000, 50_000, 100_000, 200_000} {
		f := costFleet(t, units, 50)
		fleets = append(fleets, f)
		logN, logE = append(logN, math.Log(float64(f.counts.Readings))), append(logE, math.Inf(1))
	}
	for range 15 {
		for i, f := range fleets {
			logE[i] = math.Min(logE[i], math.Log(spent(t, 1, func() {
				_, _, err := f.Criterion(ctx, th, EvaluateOptions{})
				require.NoError(t, err)
			})))
		}
	}
	fmt.Printf("\n| readings | ns a reading |\n|---|---|\n")
	for i, f := range fleets {
		fmt.Printf("| %d | %.1f |\n", f.counts.Readings, 1e9*math.Exp(logE[i]-logN[i]))
	}
	return slopeOf(logN, logE)
}

func costFleet(t *testing.T, units, analyzers int) *Fleet {
	f, err := NewFleet(oneBlock(invented(units, analyzers, 1)))
	require.NoError(t, err)
	return f
}

// millionForecasts is the time of ten forecasts of each of 100,000 units on one
// day: mean, variance and intervals of the state and of the next reading.
func millionForecasts(t *testing.T) float64 {
	f := costFleet(t, 100_000, 50)
	fit, err := f.Evaluate(ctx, Theta{Q: 1, Tau: 1, B1: 0.7}, EvaluateOptions{})
	require.NoError(t, err)
	p := fit.Predictor()
	day := Point{T: 9, Level: []float64{0}, Lo: -0.2, Hi: 0.2, Analyzer: -1, Period: -1}
	return spent(t, 1, func() {
		for range 10 {
			for u := range f.in.Series {
				if x := p.Predictive(u).At(day); !(x.State.Low < x.State.High) {
					t.Fatal(u)
				}
			}
		}
	})
}

// slopeOf is the slope of a line through points by least squares.
func slopeOf(x, y []float64) float64 {
	mx, my, xy, xx := 0.0, 0.0, 0.0, 0.0
	for i := range x {
		mx, my = mx+x[i]/float64(len(x)), my+y[i]/float64(len(x))
	}
	for i := range x {
		xy, xx = xy+(x[i]-mx)*(y[i]-my), xx+(x[i]-mx)*(x[i]-mx)
	}
	return xy / xx
}
