package estimate_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"fluedrift/analysis/estimate"
	"fluedrift/datasets/worlds"
)

// Where units that are off call somebody, those nobody was called to are nearer to
// their targets than their drift has them, and past forecasts say so: chances come
// nearer to the truth, and intervals stay as wide as they are.
func TestPastForecastsTeach(t *testing.T) {
	f := worlds.Selected(worlds.Options{Units: 500, Seed: 2})
	o := estimatedForeign(t, f, func(r *estimate.Config) { r.Brief = true })
	for i := range o.out.Fits {
		past := o.out.Fits[i].Fit.Held.Past
		t.Logf("%s fire: %+v", o.out.Fits[i].Fire, past)
		assert.Greater(t, past.Readings, 400, o.out.Fits[i].Fire)
		assert.Greater(t, past.Draw, 0.1, o.out.Fits[i].Fire)
	}
	n, said, free, truth := 0.0, 0.0, 0.0, 0.0
	for i, p := range o.out.FreeChances() {
		if math.IsNaN(o.p[i]) {
			continue
		}
		n, said, free = n+1, said+o.p[i], free+p
		if o.truth[i] {
			truth++
		}
	}
	t.Logf("mean chance %.3f, %.3f before, of %.3f truly out", said/n, free/n, truth/n)
	assert.Less(t, math.Abs(said-truth)/n, math.Abs(free-truth)/n-0.01)
	assert.InDelta(t, 0.92, float64(o.held)/float64(o.in), 0.05)
}
