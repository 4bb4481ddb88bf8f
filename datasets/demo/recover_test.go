package demo_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"fluedrift/datasets/demo"
	"fluedrift/datasets/worlds"
	"fluedrift/model/judge"
)

// increment is what changed from an as left to the next visit's as found.
type increment struct {
	unit     int
	control  judge.Control
	co2      float64
	years    float64
	settling float64
	age      float64
	kelvin   float64
	bias     float64
}

// increments pairs each as left after an adjustment with the as found of the
// next visit, at one fire.
func increments(f *worlds.DemoFleet, fire judge.Fire) []increment {
	var out []increment
	for _, h := range f.Histories() {
		unit, ok := f.UnitBySerial(h.Unit.Serial)
		if !ok {
			continue
		}
		left := -1
		for i, r := range h.Readings {
			if r.Fire != fire {
				continue
			}
			v := h.Visits[r.Visit]
			if r.Condition == judge.AsFound && left >= 0 && h.Readings[left].Visit == r.Visit-1 {
				out = append(out, pair(f, unit, h, left, i))
			}
			if r.Condition == judge.AsLeft {
				left = -1
				if v.AdjustedHigh == "yes" {
					left = i
				}
			}
		}
	}
	return out
}

func pair(f *worlds.DemoFleet, unit int, h judge.History, i, j int) increment {
	a, b := h.Readings[i], h.Readings[j]
	dt := demo.Years(a.Day, b.Day)
	age := demo.Years(h.Unit.Installed, a.Day)
	return increment{
		unit: unit, control: h.Unit.Control, co2: b.CO2Percent - a.CO2Percent, years: dt, settling: math.Min(dt, 1),
		age: age*dt + dt*dt/2, kelvin: b.AirTempC - a.AirTempC,
		bias: f.AnalyzerBias(b.Analyzer, b.Day) - f.AnalyzerBias(a.Analyzer, a.Day),
	}
}

// leastSquares returns coefficients and standard errors.
func leastSquares(t *testing.T, x [][]float64, y []float64) (beta, se []float64) {
	t.Helper()
	n, p := len(y), len(x[0])
	design, response := mat.NewDense(n, p, nil), mat.NewVecDense(n, y)
	for i := range x {
		design.SetRow(i, x[i])
	}
	var normal, inverse mat.Dense
	normal.Mul(design.T(), design)
	require.NoError(t, inverse.Inverse(&normal))
	var rhs, b, fitted mat.VecDense
	rhs.MulVec(design.T(), response)
	b.MulVec(&inverse, &rhs)
	fitted.MulVec(design, &b)
	rss := 0.0
	for i := range y {
		rss += (y[i] - fitted.AtVec(i)) * (y[i] - fitted.AtVec(i))
	}
	for k := range p {
		beta = append(beta, b.AtVec(k))
		se = append(se, math.Sqrt(rss/float64(n-p)*inverse.At(k, k)))
	}
	return beta, se
}

// In the plain world, least squares on the increments from as left to the next
// as found gives back what was planted, within four standard errors: a crude
// method, but an unbiased one, because nothing but chance decides which as
// founds are missing. The coefficient of the analyzers' true bias is 1.
func TestPlainEffectsComeBack(t *testing.T) {
	w := demo.Plain()
	w.Gases = demo.OnlyCO2
	f := worlds.Demo(demo.Options{Units: 4000, World: w})
	for _, fire := range []judge.Fire{judge.High, judge.Low} {
		byControl := map[judge.Control][]increment{}
		for _, d := range increments(f, fire) {
			byControl[d.control] = append(byControl[d.control], d)
		}
		for _, control := range []judge.Control{"ratio", "fixed air", "linkage"} {
			e := w.Effects[control].High
			if fire == "low" {
				e = w.Effects[control].Low
			}
			var x [][]float64
			var y []float64
			for _, d := range byControl[control] {
				z := f.VentCovariate(d.unit, f.AsOf())
				x = append(x, []float64{d.years, z * d.years, d.age, d.settling, d.kelvin, d.bias})
				y = append(y, d.co2)
			}
			require.Greater(t, len(y), 1000, control)
			beta, se := leastSquares(t, x, y)
			for k, want := range []float64{e.RatePerYear, e.VentRatePerYear, e.AgeRatePerYear, e.Settling, e.PerKelvin, 1} {
				assert.InDelta(t, want, beta[k], 4*se[k], "%s %s coefficient %d", control, fire, k)
			}
			assert.Less(t, se[4], 0.001, "temperature is not seen")
		}
	}
}

// The true CO2 of the plain world moves as its parts say: over a year without a
// visit by rate, vent, age, slope and wander, and by no more than the sum of
// generous bounds.
func TestTruthGoesOnAfterTheAsOfDay(t *testing.T) {
	w := demo.Plain()
	w.WanderSD, w.ClimateSwingC = 0, 0
	f := worlds.Demo(demo.Options{Units: 100, World: w})
	for i := range f.Len() {
		for _, fire := range f.Fires(i) {
			e := f.EffectOn(f.Units[i], f.Units[i].FireIndex(fire))
			from, to := f.AsOf()+400, f.AsOf()+700 // settled
			got := f.TrueCO2(i, fire, to) - f.TrueCO2(i, fire, from)
			u := f.Units[i]
			if u.State == "removed" {
				continue
			}
			a0, a1 := demo.Years(u.Installed, from), demo.Years(u.Installed, to)
			want := (e.RatePerYear+f.TrueSlope(i, fire)+e.VentRatePerYear*f.VentCovariate(i, to))*(a1-a0) + e.AgeRatePerYear*(a1*a1-a0*a0)/2
			assert.InDelta(t, want, got, 1e-9)
		}
	}
}

// The state is the planted one: an as found without noise and bias on the
// recorded temperature is the true CO2 of the day before the visit's setting.
func TestReadingShowsTruthPlusNoiseAndBias(t *testing.T) {
	w := demo.Plain()
	w.NoiseSD, w.AnalyzerSD, w.CalibrationSD, w.WeatherSD, w.Gases = 0, 0, 0, 0, demo.OnlyCO2
	f := worlds.Demo(demo.Options{Units: 60, World: w})
	checked := 0
	for _, h := range f.Histories() {
		unit, _ := f.UnitBySerial(h.Unit.Serial)
		for _, r := range h.Readings {
			if h.Visits[r.Visit].Reason == "factory test" || (r.Condition == judge.AsFound && h.Visits[r.Visit].AdjustedHigh == "yes") {
				continue
			}
			assert.InDelta(t, f.TrueCO2(unit, r.Fire, r.Day), r.CO2Percent, 1e-3, r.Origin)
			checked++
		}
	}
	assert.Greater(t, checked, 200)
}
