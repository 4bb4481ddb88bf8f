package study

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"fluedrift/datasets/measured"
)

// recovered collects what the fits of many invented fleets make of what was planted.
// 400 fixed seeds where FLUEDRIFT_LONG is set, a few else; FLUEDRIFT_STUDY_LOG names a
// file that the tables are written to on the way.
type recovered struct {
	covered, of map[string]int       // intervals of 95 % that hold the planted effect
	values      map[string][]float64 // estimates less planted, over planted where that is not nought
	hits, tests map[string]int       // p below 0.05
	names       []string
}

func newRecovered() *recovered {
	return &recovered{map[string]int{}, map[string]int{}, map[string][]float64{}, map[string]int{}, map[string]int{}, nil}
}

func (r *recovered) seen(name string) {
	if r.of[name]+r.tests[name] == 0 {
		r.names = append(r.names, name)
	}
}

// interval counts one interval.
func (r *recovered) interval(name string, c Contrast, planted float64) {
	r.seen(name)
	r.of[name]++
	r.covered[name] += count(c.Low <= planted && planted <= c.High)
	r.values[name] = append(r.values[name], c.Value-planted)
}

// test counts one test.
func (r *recovered) test(name string, p float64) {
	r.seen(name)
	r.tests[name]++
	r.hits[name] += count(p < 0.05)
}

func (r *recovered) String() string {
	var out strings.Builder
	for _, n := range r.names {
		if r.of[n] > 0 {
			mean, sd := stat.MeanStdDev(r.values[n], nil)
			fmt.Fprintf(&out, "%-72s covered %3d of %3d (%.3f)  off by %+.4f, sd %.4f\n", n, r.covered[n], r.of[n], r.share(n), mean, sd)
			continue
		}
		fmt.Fprintf(&out, "%-72s p < 0.05 in %3d of %3d (%.3f)\n", n, r.hits[n], r.tests[n], r.share(n))
	}
	return out.String()
}

// share is the share covered or found.
func (r *recovered) share(name string) float64 {
	if r.of[name] > 0 {
		return float64(r.covered[name]) / float64(r.of[name])
	}
	return float64(r.hits[name]) / float64(r.tests[name])
}

// requireAllCovered holds the shares of intervals that half of n fleets or more have.
func (r *recovered) requireAllCovered(t *testing.T, n int) {
	t.Helper()
	for _, name := range r.names {
		if r.of[name] > n/2 {
			requireCovered(t, r.share(name), name)
		}
	}
}

// requireCovered holds a share of intervals of 95 % to 0.92 to 0.98, both ends in.
func requireCovered(t *testing.T, share float64, name string) {
	t.Helper()
	require.GreaterOrEqual(t, share, 0.92, name)
	require.LessOrEqual(t, share, 0.98, name)
}

// keep hands on what was covered and found, and the mean of the estimates less planted.
func (r *recovered) keep(kept *measured.Figures, of string) {
	for _, name := range r.names {
		if n := r.of[name]; n > 0 {
			kept.Count(of+name, "95 % intervals hold", r.covered[name], n, "")
			kept.Number(of+name, "mean of "+meanOf, stat.Mean(r.values[name], nil), 3, "")
		}
		if n := r.tests[name]; n > 0 {
			kept.Count(of+name, "found at 5 %", r.hits[name], n, "")
		}
	}
}

// meanOf says what the values of a recovery are.
const meanOf = "what was found less what was planted"
