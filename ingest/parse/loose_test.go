package parse_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/ingest/parse"
	"fluedrift/model/quantity"
)

// What the digits of a CO cell may mean at most, in ppm. Percent and ppm by
// definition (1 % = 10,000 ppm); mg/m3 at 25 degC: 1.145 mg/m3 a ppm (molar mass
// over molar volume, as table.go of package quantity).
func TestLooseShare(t *testing.T) {
	ppm := quantity.MustLookup("ppm")
	nan := math.NaN()
	for text, want := range map[string]parse.Loose{
		"1.200":       {Value: 1200},
		"1,200":       {Value: 1200},
		"1 200":       {Value: 1200},
		"1'200":       {Value: 1200},
		"1.200,5":     {Value: 1200.5},
		"900 !":       {Value: 900},
		"900*":        {Value: 900},
		"ca. 900":     {Value: 900},
		"~ 900 ppm ?": {Value: 900},
		"20/900":      {Value: 900},
		"9O0":         {Value: 900},
		"9OO":         {Value: 900},
		"l20":         {Value: 120},
		"0,12 %":      {Value: 1200},
		"0.12%":       {Value: 1200},
		"0,12 Vol.-%": {Value: 1200},
		"1.2e3":       {Value: 1200},
		"-900":        {Value: 900},
		"> 400 !":     {Value: 400, Limit: parse.Above},
		"< 5 !":       {Value: 5, Limit: parse.Below},
		"1145 mg/m3":  {Value: 1000},
		"over range":  {Value: nan, Limit: parse.Above},
		">>>":         {Value: nan, Limit: parse.Above},
		"12 900":      {Value: 12900},
		"60000":       {Value: 60000},
	} {
		got, ok := parse.LooseShare(text, ppm, ppm)
		require.True(t, ok, text)
		require.Equal(t, want.Limit, got.Limit, text)
		if math.IsNaN(want.Value) {
			require.True(t, math.IsNaN(got.Value), text)
			continue
		}
		require.InDelta(t, want.Value, got.Value, 1e-3*want.Value, text)
	}
	for _, text := range []string{"", "none", "#DIV/0!", "Err:502", "--", "n/a", "12.03.2025", "2025-03-12", "10:42", "2025031299999"} {
		_, ok := parse.LooseShare(text, ppm, ppm)
		require.False(t, ok, text)
	}
	percent := quantity.MustLookup("%")
	got, ok := parse.LooseShare("0,03 ?", percent, ppm)
	require.True(t, ok)
	require.InDelta(t, 300, got.Value, 1e-9)
}
