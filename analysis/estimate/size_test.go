package estimate_test

import (
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/demo"
)

// The whole estimate of a fleet of the demo's kind, both fires: processor seconds,
// with the ratios searched for and with fixed ones.
func BenchmarkEstimate(b *testing.B) {
	cpu := func() float64 {
		var r syscall.Rusage
		require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &r))
		return float64(r.Utime.Sec+r.Stime.Sec) + float64(r.Utime.Usec+r.Stime.Usec)/1e6
	}
	for _, c := range []struct {
		name  string
		units int
		omit  estimate.Remedy
	}{{"600", 600, 0}, {"600 fixed", 600, estimate.EstimatedRatios}, {"10000", 10_000, 0}, {"10000 fixed", 10_000, estimate.EstimatedRatios}} {
		b.Run(c.name, func(b *testing.B) {
			o := invented(1, c.units, demo.Default())
			r := rulesFor(b, o.histories)
			r.LeaveOut(c.omit)
			start := cpu()
			for b.Loop() {
				out, err := estimate.Run(b.Context(), o.histories, r)
				require.NoError(b, err)
				b.ReportMetric(float64(len(out.Fits[0].Fit.Periods)+len(out.Fits[0].Fit.Analyzers)), "biases")
			}
			b.ReportMetric((cpu()-start)/float64(b.N), "cpu-s/op")
		})
	}
}
