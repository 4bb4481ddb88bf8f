package quantity_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/datasets/reference"
	"fluedrift/model/quantity"
)

// convert turns a figure's value between the units it names.
func convert(t *testing.T, lookup func(string) (quantity.Unit, error)) func(reference.Figure) float64 {
	return func(f reference.Figure) float64 {
		from, err := lookup(f.Inputs["from"])
		require.NoError(t, err, f.ID)
		to, err := lookup(f.Inputs["to"])
		require.NoError(t, err, f.ID)
		v, err := quantity.Convert(f.Number("value"), from, to)
		require.NoError(t, err, f.ID)
		return v
	}
}

// Every published figure on units, at the tolerance its row states.
func TestPublishedFigures(t *testing.T) {
	reference.Assert(t, "units", map[string]func(reference.Figure) float64{
		"conversion":          convert(t, quantity.Lookup),
		"handbook conversion": convert(t, quantity.Handbook),
		"temperature difference": func(f reference.Figure) float64 {
			return quantity.MustLookup(f.Inputs["from"]).Difference(f.Number("value"))
		},
	})
}

// Columns of water and mercury follow from their density at the temperature
// named: 1000 kg/m3 and 13595.1 kg/m3 by convention, 999.97 and 999.02 for
// water at 4 degC and 60 degF (from memory), all with 9.80665 m/s2 (exact).
func TestColumnsFollowFromDensity(t *testing.T) {
	for name, column := range map[string]struct{ density, heightM float64 }{
		"in w.c.": {1000, 0.0254}, "mm w.c.": {1000, 0.001}, "in w.c. at 39.2 degF": {999.972, 0.0254}, "in w.c. at 60 degF": {999.016, 0.0254},
		"in Hg": {13595.1, 0.0254}, "mm Hg": {13595.1, 0.001},
	} {
		u, err := quantity.Handbook(name)
		require.NoError(t, err)
		require.InEpsilon(t, column.density*9.80665*column.heightM, u.ToCanonical(1), 2e-5, name)
	}
	_, err := quantity.Handbook("furlong")
	require.ErrorIs(t, err, quantity.ErrUnknown)
}
