package combustion_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/model/combustion"
)

var airs = []combustion.AirO2{combustion.AirO2Field, combustion.AirO2Physical, combustion.AirO2Ordinance}

// drawGas draws a gas of two to four molecules with a share of methane.
func drawGas(t *rapid.T) combustion.Gas {
	parts := []combustion.Part{{Species: "methane", Percent: rapid.Float64Range(1, 100).Draw(t, "methane")}}
	for _, s := range []string{"propane", "hydrogen", "nitrogen", "carbon dioxide", "oxygen", "carbon monoxide", "hexane"} {
		parts = append(parts, combustion.Part{Species: s, Percent: rapid.Float64Range(0, 1.5).Draw(t, s)})
	}
	return combustion.Gas{Name: "drawn", Parts: parts}
}

func drawBurn(t *rapid.T) combustion.Stoichiometry {
	s, err := drawGas(t).Burn(rapid.SampledFrom(airs).Draw(t, "air"))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Atoms in = atoms out, and oxygen drawn from the air is what the air held.
func TestElementBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawBurn(t)
		airN2 := s.AirMol * (1 - float64(s.Air)/100)
		airO2 := s.AirMol * float64(s.Air) / 100
		require.InDelta(t, s.Formula.C, s.CO2Mol, 1e-12)
		require.InDelta(t, s.Formula.H, 2*s.H2OMol, 1e-12)
		require.InDelta(t, s.Formula.O+2*airO2, 2*s.CO2Mol+s.H2OMol, 1e-10)
		require.InDelta(t, s.Formula.N+2*airN2, 2*s.N2Mol, 1e-10)
		require.InDelta(t, s.WetMol-s.DryMol, s.H2OMol, 1e-10)
	})
}

// lambda -> CO2, O2 -> lambda returns to the start, and the pair lies on the
// straight line CO2/CO2max + O2/air = 1.
func TestInversePairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawBurn(t)
		lambda := rapid.Float64Range(1, 4).Draw(t, "lambda")
		co2, o2 := s.CO2FromLambda(lambda), s.O2FromLambda(lambda)
		require.InDelta(t, lambda, s.LambdaFromCO2(co2), 1e-9)
		require.InDelta(t, lambda, s.LambdaFromO2(o2), 1e-9)
		f := s.Fuel("drawn")
		require.InDelta(t, o2, f.O2FromCO2(co2), 1e-9)
		require.InDelta(t, co2, f.CO2FromO2(o2), 1e-9)
		require.InDelta(t, s.Fo(), combustion.Fo(co2, o2, s.Air), 1e-9)
		require.InDelta(t, f.COAirFreeFromCO2(100, co2), f.COAirFree(100, math.NaN(), o2), 1e-6)
	})
}

// More air: more O2, less CO2, more CO air-free for the same reading.
func TestMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawBurn(t)
		a := rapid.Float64Range(1, 3).Draw(t, "lambda")
		b := a + rapid.Float64Range(0.001, 1).Draw(t, "more")
		require.Greater(t, s.O2FromLambda(b), s.O2FromLambda(a))
		require.Less(t, s.CO2FromLambda(b), s.CO2FromLambda(a))
		f := s.Fuel("drawn")
		require.Greater(t, f.COAirFree(100, math.NaN(), s.O2FromLambda(b)), f.COAirFree(100, math.NaN(), s.O2FromLambda(a)))
	})
}

// Shares are taken in proportion: their scale says nothing.
func TestSharesAreProportions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		g := drawGas(t)
		factor := rapid.Float64Range(0.01, 100).Draw(t, "factor")
		scaled := combustion.Gas{Name: g.Name}
		for _, p := range g.Parts {
			scaled.Parts = append(scaled.Parts, combustion.Part{Species: p.Species, Percent: factor * p.Percent})
		}
		a, err := g.Burn(combustion.AirO2Field)
		require.NoError(t, err)
		b, err := scaled.Burn(combustion.AirO2Field)
		require.NoError(t, err)
		require.InDelta(t, a.CO2MaxPercent(), b.CO2MaxPercent(), 1e-9)
	})
}

// Each conversion at its edge and just beyond it.
func TestOutsideValidity(t *testing.T) {
	f := combustion.Fuel{Name: "natural gas", CO2MaxPercent: 11.8, Air: combustion.AirO2Field}
	s, err := combustion.Methane.Burn(combustion.AirO2Field)
	require.NoError(t, err)
	nan := math.NaN()
	for name, at := range map[string]float64{
		"o2 0": f.CO2FromO2(0), "o2 of air": f.CO2FromO2(20.9), "co2 0": f.O2FromCO2(0), "co2max": f.O2FromCO2(11.8),
		"co 0": f.COAirFree(0, nan, 5), "by co2": f.COAirFree(100, 9, nan), "co2max lambda": s.LambdaFromCO2(s.CO2MaxPercent()),
		"o2 20": s.LambdaFromO2(20), "lambda 1": s.CO2FromLambda(1), "fo": combustion.Fo(9, 0, combustion.AirO2Field),
		"excess 0": combustion.ExcessAirPercent(1), "3b": combustion.ExcessAir3B(0, 0, 88), "o2 wins": f.COAirFree(100, 12.5, 5),
	} {
		require.False(t, math.IsNaN(at), name)
	}
	for name, beyond := range map[string]float64{
		"o2 < 0": f.CO2FromO2(-0.1), "o2 > air": f.CO2FromO2(21), "co2 < 0": f.O2FromCO2(-0.1), "co2 > max": f.O2FromCO2(11.9),
		"co < 0": f.COAirFree(-1, nan, 5), "no gas": f.COAirFree(100, nan, nan), "air": f.COAirFree(100, nan, 20.9), "co2 over": f.COAirFree(100,
			12, nan),
		"undeclared": combustion.Fuel{}.CO2FromO2(5), "undeclared co": combustion.Fuel{}.COAirFree(100, 9,
			5), "undeclared step": combustion.Fuel{}.CO2PerO2(),
		"lambda co2": s.LambdaFromCO2(12.5), "lambda co2 0": s.LambdaFromCO2(0), "lambda o2": s.LambdaFromO2(20.9),
		"lambda < 1": s.CO2FromLambda(0.99), "o2 lambda < 1": s.O2FromLambda(0.99), "excess < 0": combustion.ExcessAirPercent(0.9),
		"fo co2 0": combustion.Fo(0, 5, combustion.AirO2Field), "fo nan": combustion.Fo(nan, 5, combustion.AirO2Field),
		"3b rich": combustion.ExcessAir3B(0.1, 1, 88), "ref": combustion.COAtO2(100, 5, 20.9, combustion.AirO2Field),
	} {
		require.True(t, math.IsNaN(beyond), name)
	}
}

// The declared CO2max of common practice stays within 0.2 points of what the
// atoms give in air of 20.9 %.
func TestDeclaredCO2MaxAgreesWithTheAtoms(t *testing.T) {
	fuels, err := combustion.Fuels(nil, combustion.AirO2Field)
	require.NoError(t, err)
	for name, gas := range map[string]combustion.Gas{
		"natural gas": combustion.PipelineGas, "propane": combustion.Propane, "butane": combustion.Butane,
	} {
		s, err := gas.Burn(combustion.AirO2Field)
		require.NoError(t, err)
		require.InDelta(t, s.CO2MaxPercent(), fuels[name].CO2MaxPercent, 0.2, name)
	}
}

func TestFuels(t *testing.T) {
	fuels, err := combustion.Fuels(map[string]float64{"natural gas": 11.7, "biogas": 18}, combustion.AirO2Physical)
	require.NoError(t, err)
	require.Equal(t, combustion.Fuel{Name: "natural gas", CO2MaxPercent: 11.7, Air: combustion.AirO2Physical}, fuels["natural gas"])
	require.True(t, fuels["biogas"].Declared())
	require.True(t, fuels["propane"].Declared())
	require.False(t, fuels["wood"].Declared())
	for _, bad := range []float64{0.118, 0, -1, 100, math.NaN()} {
		_, err := combustion.Fuels(map[string]float64{"biogas": bad}, combustion.AirO2Field)
		require.ErrorContains(t, err, "biogas")
	}
	_, err = combustion.Fuels(nil, 0.209)
	require.ErrorContains(t, err, "20.9")
}

func TestGasRefuses(t *testing.T) {
	part := func(s string, v float64) combustion.Gas {
		return combustion.Gas{Name: "g", Parts: []combustion.Part{{Species: "methane", Percent: 50}, {Species: s, Percent: v}}}
	}
	for _, g := range []combustion.Gas{
		{Name: "empty"},
		part("phlogiston", 1), part("ethane", -1), part("ethane", math.NaN()), part("ethane", math.Inf(1)),
		{Name: "inert", Parts: []combustion.Part{{Species: "nitrogen", Percent: 100}}},
	} {
		_, err := g.Burn(combustion.AirO2Field)
		require.Error(t, err, g)
	}
	_, err := combustion.Methane.Burn(0.2095)
	require.Error(t, err)
	_, err = combustion.Blend("b", combustion.Methane, combustion.Propane, 101)
	require.Error(t, err)
	_, err = combustion.Blend("b", combustion.Methane, combustion.Gas{}, 10)
	require.Error(t, err)
}
