package drift

import (
	"fmt"
	"math/rand/v2"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// benchFleet is a fleet of four fixed effects and one analyzer block, about 4.2
// differences a unit, or with the product's columns, two blocks and about seven.
func benchFleet(b *testing.B, units, analyzers int, twoBlocks bool) *Fleet {
	in := invented(units, analyzers, 1)
	if !twoBlocks {
		in = oneBlock(in)
	}
	f, err := NewFleet(in)
	require.NoError(b, err)
	return f
}

// oneBlock leaves a fleet four fixed effects, one analyzer block and about 4.2
// differences a unit.
func oneBlock(in Input) Input {
	in.Periods, in.Design.Settling = 0, false
	for u := range in.Series {
		in.Series[u].Visits = in.Series[u].Visits[:5+u%5/4]
		for v := range in.Series[u].Visits {
			vis := &in.Series[u].Visits[v]
			vis.Period = -1
			for r := range vis.Readings {
				vis.Readings[r].Period = -1
			}
		}
	}
	return in
}

// cpu returns the processor seconds of this process: on a shared machine the wall
// clock tells little.
func cpu(b *testing.B) float64 {
	var r syscall.Rusage
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &r))
	return float64(r.Utime.Sec+r.Stime.Sec) + float64(r.Utime.Usec+r.Stime.Usec)/1e6
}

// perOp reports processor time since start, ms an operation.
func perOp(b *testing.B, start float64) {
	b.ReportMetric(1000*(cpu(b)-start)/float64(b.N), "cpu-ms/op")
}

// One evaluation of the criterion on one core; Q is the number of analyzer
// columns of both blocks.
func BenchmarkEvaluation(b *testing.B) {
	for _, c := range []struct {
		units, analyzers int
		two              bool
	}{{1_000, 50, false}, {10_000, 50, false}, {100_000, 50, false}, {100_000, 200, false}, {10_000, 6, true}, {10_000, 33, true}, {
		100_000,
		122, true,
	}} {
		f := benchFleet(b, c.units, c.analyzers, c.two)
		th := Theta{Q: 1, Tau: 1, B1: 0.7}
		if c.two {
			th.B2 = 0.7
		}
		b.Run(fmt.Sprintf("units=%d/Q=%d/p=%d", c.units, f.in.Analyzers+f.in.Periods, len(f.used)), func(b *testing.B) {
			b.ReportAllocs()
			start := cpu(b)
			for b.Loop() {
				_, _, err := f.Criterion(ctx, th, EvaluateOptions{})
				require.NoError(b, err)
			}
			perOp(b, start)
			b.ReportMetric(float64(f.Counts().Differences), "differences")
		})
	}
}

// The whole of Fit: removal, evaluation, covariances.
func BenchmarkFit(b *testing.B) {
	f := benchFleet(b, 10_000, 33, true)
	for b.Loop() {
		_, err := f.Fit(ctx, Options{})
		require.NoError(b, err)
	}
}

// The search for three ratios from a cold start on one core, restarts included.
func BenchmarkSearch(b *testing.B) {
	for _, units := range []int{1_000, 10_000, 100_000} {
		f := benchFleet(b, units, 50, false)
		b.Run(fmt.Sprintf("units=%d/Q=50", units), func(b *testing.B) {
			evals := 0
			start := cpu(b)
			for b.Loop() {
				end, err := Search{}.Ratios(ctx, f, Theta{Q: 1, Tau: 1, B1: 1}, EvaluateOptions{})
				require.NoError(b, err)
				evals = end.Evaluations
			}
			perOp(b, start)
			b.ReportMetric(float64(evals), "evaluations")
			b.ReportMetric(float64(f.Counts().Differences), "differences")
		})
	}
}

// A forecast with its interval, and the scan of 61 months, a unit.
func BenchmarkForecast(b *testing.B) {
	for _, two := range []bool{false, true} {
		f := benchFleet(b, 10_000, 33, two)
		fit, err := f.Fit(ctx, Options{})
		require.NoError(b, err)
		p := fit.Predictor()
		day := Point{T: 9, Level: []float64{0}, Lo: -0.2, Hi: 0.2, Analyzer: -1, Period: -1}
		b.Run(fmt.Sprintf("day/p=%d", len(fit.beta)), func(b *testing.B) {
			b.ReportAllocs()
			u := 0
			start := cpu(b)
			for b.Loop() {
				p.Predictive(u).At(day)
				u = (u + 1) % 10_000
			}
			perOp(b, start)
		})
		days := make([]Point, 61)
		for m := range days {
			days[m] = day
			days[m].T += float64(m) / 12
		}
		b.Run(fmt.Sprintf("months/p=%d", len(fit.beta)), func(b *testing.B) {
			u := rand.New(rand.NewPCG(1, 1))
			for b.Loop() {
				p.Predictive(u.IntN(10_000)).FirstPassage(days, 0.5)
			}
		})
	}
}
