package drift

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Steps of Newton end where simplices and restarts alone end, from starts near and far:
// the criterion to 1e-8 of itself, ratios and coefficients in their standard errors to
// 1e-5, which is as near as a simplex comes. Fleets of every kind of part, one with
// readings of one analyzer, and one whose units do not wander.
func TestStepsArriveWhereSimplicesDo(t *testing.T) {
	steady := trueSDs
	steady.wander = 0.01
	calm, _ := steady.invented(60, 6, 704)
	alone := invented(60, 1, 705)
	alone.Periods = 0
	for u := range alone.Series {
		for v := range alone.Series[u].Visits {
			alone.Series[u].Visits[v].Period = -1
			for r := range alone.Series[u].Visits[v].Readings {
				alone.Series[u].Visits[v].Readings[r].Period = -1
			}
		}
	}
	all := map[string]Input{"does not wander": calm, "one analyzer": alone}
	for _, c := range scored {
		if c.options.Workers == 0 && c.options.PriorSigma == 0 {
			in := invented(60, 6, 700)
			c.make(&in)
			all[c.name] = in
		}
	}
	for name, in := range all {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f, err := NewFleet(in)
			require.NoError(t, err)
			run := func(start Theta) *search {
				s := &search{Search: Search{Size: 1e-5, Spread: 1e-8, MaxEvaluations: 600}, ctx: ctx, f: f, at: start.array()}
				s.choose()
				return s
			}
			simplices := run(Theta{1, 1, 0.7, 0.7})
			last, _ := simplices.simplex(coldStep, 1e-6, 1e-9)
			for _, step := range []float64{1e-3, 1e-5} {
				last, _ = simplices.simplex(step, 1e-8, 1e-11)
			}
			two := evaluate(t, f, thetaOf(simplices.at))
			for _, start := range []Theta{{1, 1, 0.7, 0.7}, {3, 0.2, 2, 0.3}} {
				steps := run(start)
				best, converged := steps.descend(true)
				assert.True(t, converged)
				assert.Zero(t, steps.end.Restarts)
				assert.InEpsilon(t, last, best, 1e-8)
				for k := range steps.at {
					if steps.at[k] > 2*leastRatio {
						assert.InDelta(t, simplices.at[k], steps.at[k], 1e-5, "ratio %d", k)
					}
				}
				for k, c := range evaluate(t, f, thetaOf(steps.at)).Coefficients {
					if c.Dropped == nil {
						assert.InDelta(t, two.Coefficients[k].Value, c.Value, 1e-5*c.SE, c.Name)
					}
				}
				assert.Less(t, 10*steps.end.Evaluations, simplices.end.Evaluations)
			}
		})
	}
}

// Where the criterion is not curved upwards the steps say so and leave the search
// at a point no worse than they found it.
func TestStepsDoNotPretend(t *testing.T) {
	f, err := NewFleet(invented(120, 6, 700))
	require.NoError(t, err)
	s := &search{
		Search: Search{Size: 1e-4, Spread: 1e-5, MaxEvaluations: 600}, ctx: ctx, f: f, at: [4]float64{50, 40, 30, 30},
		free: []int{0, 1, 2, 3},
	}
	before := s.crit(s.start())
	best, ok := s.newton()
	assert.False(t, ok)
	assert.LessOrEqual(t, best, before)
	assert.InDelta(t, s.crit(s.start()), best, 1e-9)
}
