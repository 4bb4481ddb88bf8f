package analysis_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/analysis"
)

// Whatever a forecast says, no CO2 of it is negative or more than the fuel can
// make, ends stay about their middle, what is missing stays missing, and the
// parts sum up as they did.
func TestForecastStaysWithinWhatTheFuelCanMake(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		most := rapid.SampledFrom([]float64{11.8, 11.857, 13.7, 40}).Draw(t, "most")
		number := rapid.OneOf(rapid.Float64Range(-30, 60), rapid.Just(math.NaN()), rapid.Just(most), rapid.Just(0.0))
		three := func() (low, mean, high float64) {
			mean = number.Draw(t, "mean")
			half := rapid.Float64Range(0, 20).Draw(t, "half")
			return mean - half, mean, mean + half
		}
		f := analysis.FireForecast{TargetCO2Percent: 9, Unconfirmed: &analysis.Unconfirmed{
			ExpectedPercent: number.Draw(t, "expected"),
			ReadPercent:     9,
		}}
		f.LowPercent, f.CO2Percent, f.HighPercent = three()
		f.RecordedLowPercent, _, f.RecordedHighPercent = three()
		f.Parts = []analysis.Part{{Kind: analysis.PartLast, Points: f.CO2Percent - f.TargetCO2Percent}}
		for range rapid.IntRange(0, 3).Draw(t, "path") {
			var p analysis.PathPoint
			p.LowPercent, p.CO2Percent, p.HighPercent = three()
			f.Path = append(f.Path, p)
		}
		missing := math.IsNaN(f.CO2Percent)
		f.Within(most)

		check := func(values ...float64) {
			for i, v := range values {
				require.False(t, v < 0 || v > most || math.Round(100*v)/100 > most, "%v of %v", v, values)
				require.False(t, i > 0 && v < values[i-1], values)
			}
		}
		check(f.LowPercent, f.CO2Percent, f.HighPercent)
		check(f.RecordedLowPercent, f.RecordedHighPercent)
		check(f.Unconfirmed.ExpectedPercent)
		for _, p := range f.Path {
			check(p.LowPercent, p.CO2Percent, p.HighPercent)
		}
		require.Equal(t, missing, math.IsNaN(f.CO2Percent))
		if sum := f.TargetCO2Percent; !missing {
			for _, p := range f.Parts {
				sum += p.Points
			}
			require.InDelta(t, f.CO2Percent, sum, 1e-6)
		}
	})
}
