package drift

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
)

// The truth of the invented fleets lies within 3.5 standard errors of each
// estimate: ten fleets pooled, 95 % intervals cover most.
func TestRecoversTheTruth(t *testing.T) {
	truth := map[string]float64{"temp": trueTemp, "time": trueRate, "vent": trueVent, "age": trueAge, Settling: 0}
	covered, n := 0, 0
	for seed := range uint64(10) {
		f, err := NewFleet(invented(400, 12, 100+seed))
		require.NoError(t, err)
		fit, err := f.Fit(ctx, Options{})
		require.NoError(t, err)
		for name, want := range truth {
			c, ok := fit.Coefficient(name)
			require.True(t, ok)
			assert.InDelta(t, want, c.Value, 4*c.SE, "%s, seed %d", name, seed)
			if c.Low <= want && want <= c.High {
				covered++
			}
			n++
		}
	}
	assert.GreaterOrEqual(t, float64(covered)/float64(n), 0.86, "95 %% of 50, less three standard errors")
}

// A year ahead 90 % intervals cover nine in ten true states, and probabilities
// of being outside mean what they say: fixed ratios, four fleets of 500 units.
func TestForecastsAreCalibrated(t *testing.T) {
	covered, said, outside, n := 0.0, 0.0, 0.0, 0.0
	for seed := range uint64(4) {
		in, truth := inventedTruth(500, 15, 70+seed)
		f, err := NewFleet(in)
		require.NoError(t, err)
		fit, err := f.Fit(ctx, Options{})
		require.NoError(t, err)
		p := fit.Predictor()
		for u, want := range truth {
			last := in.Series[u].Visits[len(in.Series[u].Visits)-1].T
			got := p.Predictive(u).At(Point{T: last + 1, Level: []float64{0}, Lo: -0.2, Hi: 0.2, Analyzer: -1, Period: -1})
			n++
			said += got.POut
			if got.State.Low <= want && want <= got.State.High {
				covered++
			}
			if math.Abs(want) > 0.2 {
				outside++
			}
		}
	}
	assert.InDelta(t, 0.9, covered/n, 0.03)
	assert.InDelta(t, outside/n, said/n, 0.03)
}

// Few differences: nothing fitted, then priors, then neither.
func TestAmountOfData(t *testing.T) {
	for _, c := range []struct {
		units int
		how   How
	}{{2, Defaults}, {40, WithPriors}, {400, FixedTheta}} {
		t.Run(fmt.Sprint(c.units), func(t *testing.T) {
			f, err := NewFleet(invented(c.units, 6, 1))
			require.NoError(t, err)
			fit, err := f.Fit(ctx, Options{})
			require.NoError(t, err)
			assert.Equal(t, c.how, fit.How, "%d differences", f.Counts().Differences)
			settling, _ := fit.Coefficient(Settling)
			assert.Equal(t, c.how != FixedTheta, settling.Dropped != nil)
			vent, _ := fit.Coefficient("vent")
			if c.how == Defaults {
				assert.Equal(t, 0.0, vent.Value)
				assert.InDelta(t, 0.1, vent.SE, 1e-12)
				assert.Equal(t, TypicalSigma, fit.Sigma)
				o := fit.Predictor().Predictive(0)
				assert.NotZero(t, o.Marks&NotMeasuredEffect)
				day := Point{T: 9, Level: []float64{0}, Lo: -0.2, Hi: 0.2, Analyzer: -1, Period: -1}
				assert.Greater(t, o.At(day).POut, 0.0)
			}
		})
	}
}

// Nothing at all is still an answer: every unit is forecast from the defaults.
func TestNoDifferences(t *testing.T) {
	in := invented(2, 2, 1)
	for u := range in.Series {
		in.Series[u].Visits = in.Series[u].Visits[:1]
	}
	f, err := NewFleet(in)
	require.NoError(t, err)
	fit, err := f.Fit(ctx, Options{})
	require.NoError(t, err)
	assert.Equal(t, Defaults, fit.How)
	p := fit.Predictor().Predictive(1).At(Point{T: 1, Level: []float64{0}, Lo: -0.2, Hi: 0.2, Analyzer: -1, Period: -1})
	assert.Greater(t, p.State.SD, 0.0)
}

// Readings that never differ are not a fit with no noise.
func TestCopiesAreNotFitted(t *testing.T) {
	in := invented(60, 5, 1)
	for u := range in.Series {
		for v := range in.Series[u].Visits {
			vis := &in.Series[u].Visits[v]
			vis.Readings = vis.Readings[:1]
			vis.Readings[0].Y, vis.Adjusted = 0.05, No
		}
	}
	f, err := NewFleet(in)
	require.NoError(t, err)
	fit, err := f.Fit(ctx, Options{})
	require.NoError(t, err)
	assert.Equal(t, Defaults, fit.How)
	assert.Contains(t, fit.Notes, NotFitted{Err: ErrSame})
	sum := 0
	for u := range in.Series {
		sum += f.Differences(u)
	}
	assert.Equal(t, f.Counts().Differences, sum)
}

// Identity: a prior is one more observation of its coefficient. The normal
// equations with those rows written out give the same estimates.
func TestPriorsAreObservations(t *testing.T) {
	rows := fixture(t)
	design := fixtureDesign
	design.Level = []Column{{Name: "temp", Prior: &Prior{0.02, 0.001}}}
	design.Drift = []Column{{Name: "time", Prior: &Prior{-0.02, 0.02}}, {Name: "vent"}, {Name: "age", Prior: &Prior{0, 0.01}}}
	f := fleetOf(t, design, rows)
	th := Theta{1, 1, 1, 0}
	fit, err := f.Evaluate(ctx, th, EvaluateOptions{PriorSigma: 0.065})
	require.NoError(t, err)
	assert.Equal(t, WithPriors, fit.How)
	plain := denseOf(f, th)
	segs := plain.segs
	var vix, a mat.Dense
	vix.Mul(plain.vi, plain.x)
	a.Mul(plain.x.T(), &vix)
	var b mat.VecDense
	b.MulVec(vix.T(), plain.y)
	for k, c := range f.cols {
		if c.Prior != nil {
			w := math.Pow(0.065/c.Prior.SD, 2)
			a.Set(segs+k, segs+k, a.At(segs+k, segs+k)+w)
			b.SetVec(segs+k, b.AtVec(segs+k)+w*c.Prior.Mean)
		}
	}
	var beta mat.VecDense
	require.NoError(t, beta.SolveVec(&a, &b))
	for k := range f.cols {
		assert.InDelta(t, beta.AtVec(segs+k), fit.Coefficients[k].Value, 1e-8)
	}
}

// Columns that cannot be told apart are named and left out.
func TestAliasedColumns(t *testing.T) {
	rows := fixture(t)
	for i := range rows {
		rows[i].rate = []float64{1, 0.5, 0, rows[i].rate[1], 1 - rows[i].rate[1]}
		rows[i].grow = nil
	}
	design := Design{Level: fixtureDesign.Level, Drift: []Column{
		{Name: "time"},
		{Name: "half"},
		{Name: "nothing"},
		{Name: "vent"},
		{Name: "rest"},
	}}
	fit, err := fleetOf(t, design, rows).Fit(ctx, Options{})
	require.NoError(t, err)
	want := map[string]Absence{
		"half": Follows{From: []string{"time"}}, "nothing": NeverChanges{},
		"rest": Follows{From: []string{"time", "vent"}},
	}
	for _, c := range fit.Coefficients {
		assert.Equal(t, want[c.Name], c.Dropped, c.Name)
		assert.Equal(t, c.Dropped != nil, math.IsNaN(c.Value))
	}
}

// One analyzer a unit: its bias cancels in every difference. The criterion is
// flat in its ratio, and the fit says so instead of an estimate.
func TestBiasNotEstimable(t *testing.T) {
	rows := fixture(t)
	for i := range rows {
		rows[i].analyzer = int(number(t, rows[i].unit)) % 3
	}
	f := fleetOf(t, fixtureDesign, rows)
	a, _, err := f.Criterion(ctx, Theta{1, 1, 0, 0}, EvaluateOptions{})
	require.NoError(t, err)
	b, _, err := f.Criterion(ctx, Theta{1, 1, 3, 0}, EvaluateOptions{})
	require.NoError(t, err)
	assert.InDelta(t, a, b, 1e-9)
	fit, err := f.Fit(ctx, Options{})
	require.NoError(t, err)
	assert.Zero(t, fit.Theta.B1)
	assert.Contains(t, fit.Notes, AnalyzersNotCompared{})
	for _, bias := range fit.Analyzers {
		assert.Equal(t, -1, bias.Component)
	}
}

// Separate pools of analyzers make separate components.
func TestComponents(t *testing.T) {
	rows := fixture(t)
	for i := range rows {
		rows[i].analyzer = rows[i].analyzer%3 + 3*(int(number(t, rows[i].unit))%2)
	}
	fit := evaluate(t, fleetOf(t, fixtureDesign, rows), Theta{1, 1, 1, 0})
	var got []int
	for _, b := range fit.Analyzers {
		got = append(got, b.Component)
	}
	assert.Equal(t, []int{0, 0, 0, 3, 3, 3}, got)
}

// Identity: holding the coefficients of the fleet's own fit gives its biases
// back. With another fleet they stay as they were, on any scale.
func TestHeldCoefficients(t *testing.T) {
	in := invented(300, 10, 2)
	f, err := NewFleet(in)
	require.NoError(t, err)
	fit, err := f.Fit(ctx, Options{})
	require.NoError(t, err)
	again, err := fit.fleet.Evaluate(ctx, fit.Theta, EvaluateOptions{Hold: fit})
	require.NoError(t, err)
	for a := range fit.Analyzers {
		assert.InDelta(t, fit.Analyzers[a].Value, again.Analyzers[a].Value, 1e-9)
	}
	scaled := invented(60, 10, 3)
	for u := range scaled.Series {
		scaled.Series[u].Runs[0].Rate[1] *= 16 // another scale inside
	}
	other, err := NewFleet(scaled)
	require.NoError(t, err)
	require.NotEqual(t, f.scale, other.scale)
	held, err := other.Fit(ctx, Options{Hold: fit})
	require.NoError(t, err)
	assert.Equal(t, HeldBeta, held.How)
	for k, c := range fit.Coefficients {
		if c.Dropped == nil {
			assert.InEpsilon(t, c.Value, held.Coefficients[k].Value, 1e-12)
			assert.InEpsilon(t, c.SE, held.Coefficients[k].SE, 1e-12)
		}
	}
}

func TestResolution(t *testing.T) {
	g := rand.New(rand.NewPCG(1, 1))
	grid := func(step float64, n int) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = step * math.Round((8+2*g.Float64())/step)
		}
		return out
	}
	assert.Equal(t, 0.5, DetectResolution(grid(0.5, 200)).Step)
	assert.False(t, DetectResolution(grid(0.5, 200)).CoefficientsUsable)
	assert.Equal(t, 0.2, DetectResolution(grid(0.2, 200)).Step)
	assert.Zero(t, DetectResolution(grid(0.1, 200)).Step)
	assert.Zero(t, DetectResolution(grid(0.5, 20)).Step, "too few to say")
}

func TestSeriesAreChecked(t *testing.T) {
	for _, c := range []struct {
		name string
		do   func(s *Series)
		want string
	}{
		{"order", func(s *Series) { s.Visits[1].T = -1 }, "out of order"},
		{"level", func(s *Series) { s.Visits[0].Readings[0].Level = nil }, "level covariates"},
		{"missing level", func(s *Series) { s.Visits[0].Readings[0].Level = []float64{math.NaN()} }, `"temp" is missing`},
		{"analyzer", func(s *Series) { s.Visits[0].Readings[0].Analyzer = 99 }, "analyzer column 99"},
		{"rates", func(s *Series) { s.Runs[0].Rate = []float64{1} }, "1 rates for 4"},
		{"unknown", func(s *Series) { s.Runs[0].Rate[0] = math.NaN() }, `"time" is not known`},
		{"runs", func(s *Series) { s.Runs = nil }, "no run"},
	} {
		in := invented(2, 3, 1)
		c.do(&in.Series[1])
		_, err := NewFleet(in)
		require.Error(t, err, c.name)
		assert.ErrorContains(t, err, `unit "unit 1"`)
		assert.ErrorContains(t, err, c.want)
	}
}
