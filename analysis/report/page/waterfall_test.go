package page

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
)

// Each part begins where the sum before it ends; the expected value stands last, with
// what of its interval is beyond the limits in its own class.
func TestPartsOfAForecast(t *testing.T) {
	f := &watch.FireLine{
		Fire: "high", RatePercent: math.NaN(),
		Bands: watch.BandSpan{Target: 9, SetLow: 8.8, SetHigh: 9.2, ActLow: 8.6, ActHigh: 9.4},
		Forecast: &analysis.FireForecast{CO2Percent: 9.3, LowPercent: 9.1, HighPercent: 9.5, Parts: []analysis.Part{
			{Kind: analysis.PartLast, Points: 0.2}, {Kind: analysis.PartAnalyzer, Points: -0.1}, {Kind: analysis.PartDrift, Points: 0.2},
		}},
	}
	svg := drawParts(f)
	assert.Contains(t, svg, `<path class=a d="M320 36H560V148H320z"/>`)
	assert.Contains(t, svg, `<path class=s d="M380 36H500V148H380z"/>`)
	assert.Contains(t, svg, `<path class=p d="M440 44H500v12H440zM470 72H500v12H470zM470 100H530v12H470z"/>`)
	assert.Contains(t, svg, `<path class=n d="M470 134H560"/><path class=r d="M560 134H590"/><path class=d d="M530 134h0"/>`)
	assert.Equal(t, 1, strings.Count(svg, ">−0.10<"))
	assert.Contains(t, svg, ">+0.20<")
	assert.NotContains(t, svg, "NaN")
	assert.Equal(t, []int{300, 600}, []int{partX(-3), partX(3)}, "cut at the ends")
	f.Forecast = nil
	assert.Empty(t, drawParts(f))
}
