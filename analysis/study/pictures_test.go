package study

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Identities: the means of a line lie on it, the parts have equal counts, equal
// places stay together, and what is missing is left out.
func TestTenthsOfALine(t *testing.T) {
	var x, y []float64
	for i := range 200 {
		v := float64((i * 37) % 200)
		x, y = append(x, v), append(y, 3-2*v)
	}
	mx, my := Tenths(append(x, math.NaN(), 5), append(y, 1, math.NaN()))
	require.Len(t, mx, 10)
	for i := range mx {
		require.InDelta(t, 20*float64(i)+9.5, mx[i], 1e-9)
		require.InDelta(t, 3-2*mx[i], my[i], 1e-9)
	}
	mx, my = Tenths([]float64{1, 1, 1, 1}, []float64{1, 2, 3, 4})
	require.Equal(t, []float64{1}, mx)
	require.Equal(t, []float64{2.5}, my)
	mx, _ = Tenths(nil, nil)
	require.Empty(t, mx)
}

// Every unit stands in one field of the map or is counted as not on it.
func TestVentMapCountsEveryUnit(t *testing.T) {
	var units []UnitVent
	for i := range 100 {
		units = append(units, UnitVent{LengthM: float64(i%40) / 2, DiameterM: []float64{0.1, 0.15, 0.2}[i%3]})
	}
	units = append(units, UnitVent{LengthM: math.NaN(), DiameterM: 0.1}, UnitVent{LengthM: 3, DiameterM: math.NaN()})
	cells, without := VentMap(units, 1)
	require.Equal(t, 2, without)
	sum := 0
	for i, c := range cells {
		sum += c.Units
		require.Equal(t, 2.0, c.ToM-c.FromM) // 20 m in at most twelve steps
		if i > 0 {
			before := cells[i-1]
			require.True(t, before.DiameterM < c.DiameterM || before.FromM < c.FromM)
		}
	}
	require.Equal(t, 100, sum)
}

// Fields of the map are round numbers of the reader's unit: feet, here.
func TestVentMapInFeet(t *testing.T) {
	const ft = 0.3048
	var units []UnitVent
	for i := range 13 {
		units = append(units, UnitVent{LengthM: float64(10*i) * ft, DiameterM: 0.1})
	}
	cells, _ := VentMap(units, ft) // 120 ft in at most twelve steps: of 20
	require.Len(t, cells, 7)
	for i, c := range cells {
		require.InDelta(t, float64(20*i), c.FromM/ft, 1e-9)
		require.InDelta(t, float64(20*i+20), c.ToM/ft, 1e-9)
		require.Equal(t, min(2, 13-2*i), c.Units)
	}
}

// Quartiles of 1 to 101 are 26, 51 and 76: those of the empirical distribution.
func TestQuartiles(t *testing.T) {
	var v []float64
	for i := range 101 {
		v = append(v, float64(i+1))
	}
	require.Equal(t, Quartiles{26, 51, 76, 101, 2}, quartilesOf(append(v, math.NaN(), math.Inf(1))))
	require.Zero(t, quartilesOf(nil).Known)
}

// Cook's distance is what leaving a row out does to all fitted values: their summed
// squared change over k times the residual variance. Made again by leaving out.
func TestCookIsLeavingOut(t *testing.T) {
	data := made(3, 8, 2, -0.3, 0.2)
	fit, err := Regress(data)
	require.NoError(t, err)
	d := Diagnostic{Leverage: fit.Leverage}
	for i, e := range fit.Residuals {
		d.Standardized = append(d.Standardized, e/(fit.ResidualSD*math.Sqrt(1-fit.Leverage[i])))
	}
	for i, got := range d.Cook() {
		less := Data{Names: data.Names}
		for k := range data.Y {
			if k != i {
				less.X, less.Y, less.Cluster = append(less.X, data.X[k]), append(less.Y, data.Y[k]), append(less.Cluster, data.Cluster[k])
			}
		}
		without, err := Regress(less)
		require.NoError(t, err)
		sum := 0.0
		for k, x := range data.X {
			moved := fit.Fitted[k] - without.Beta[0]*x[0] - without.Beta[1]*x[1]
			sum += moved * moved
		}
		require.InDelta(t, sum/(2*fit.ResidualSD*fit.ResidualSD), got, 1e-9)
	}
}

// Identity: dots of a picture of a curve are residuals put on the curve, so that a
// spline of the dots alone, without the other columns, is the same curve.
func TestDotsLieAboutTheirCurve(t *testing.T) {
	var rows []*Row
	for i := range 120 {
		z := float64((i*37)%120) / 120
		rows = append(rows, &Row{Kind: Installation, Site: "S" + string(rune('a'+i%20)), OfRun: z, AirK: float64(i%11) - 3, CO2Points: 0.3*z*z +
			0.02*float64(i%11) + 0.01*float64(i%7)})
	}
	c := Curve{Kind: Installation}
	require.NoError(t, c.fit(rows, byLength, Config{Draws: 200, Seed: 1}))
	s := Spline{c.Knots}
	d := Data{Names: []string{"constant", "vent", "bend 1", "bend 2"}, Y: c.Change}
	for i, z := range c.At {
		d.X, d.Cluster = append(d.X, append([]float64{1}, s.basis(z)...)), append(d.Cluster, rows[i].Site)
	}
	fit, err := Regress(d)
	require.NoError(t, err)
	for i, x := range c.Band.X {
		y := fit.Beta[0]
		for k, b := range s.basis(x) {
			y += fit.Beta[k+1] * b
		}
		require.InDelta(t, c.Band.Y[i], y, 1e-9)
	}
}
