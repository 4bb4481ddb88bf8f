package combustion_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/model/combustion"
)

// Mass is kept: fuel and air in, flue gas out, molecule by molecule. The air's
// argon counts as nitrogen in the amounts but not in the mass, 1.2 % of air by
// mass being argon of 39.9 g/mol where nitrogen has 28.0.
func TestFlueGasKeepsMassAndAmount(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawBurn(t)
		f := s.FlueGasAt(rapid.Float64Range(1, 4).Draw(t, "lambda"))
		require.InDelta(t, f.WetMol, f.CO2Mol+f.H2OMol+f.O2Mol+f.N2Mol, 1e-9)
		require.InDelta(t, f.CO2Mol/f.DryMol*100, s.CO2FromLambda(f.Lambda), 1e-9)
		require.InDelta(t, f.O2Mol/f.DryMol*100, s.O2FromLambda(f.Lambda), 1e-9)
		molecules := 44.0095*f.CO2Mol + 18.01528*f.H2OMol + 31.9988*f.O2Mol + 28.0134*f.N2Mol
		require.InEpsilon(t, f.MassG(), molecules, 0.007)
		require.InDelta(t, f.MassG(), f.DryMol*f.DryMolarMassG()+18.01528*f.H2OMol, 1e-6)
		require.InDelta(t, f.MassG(), f.WetMol*f.WetMolarMassG(), 1e-6)
	})
}

// Amounts per unit of input agree with each other, and scale with the
// reference temperature as an ideal gas does.
func TestPerInput(t *testing.T) {
	s, err := combustion.PipelineGas.Burn(combustion.AirO2Physical)
	require.NoError(t, err)
	h, err := combustion.PipelineGas.Heating()
	require.NoError(t, err)
	f := s.FlueGasAt(1.25)
	cold, warm := f.PerGrossMJ(h, 0), f.PerGrossMJ(h, 20)
	require.InEpsilon(t, 293.15/273.15, warm.WetFlueM3/cold.WetFlueM3, 1e-12)
	require.InEpsilon(t, f.WetMol/f.DryMol, cold.WetFlueM3/cold.DryFlueM3, 1e-12)
	require.Equal(t, cold.FlueKg, warm.FlueKg)
	require.Greater(t, cold.FlueKg, cold.AirKg)
	require.InEpsilon(t, 1.293, cold.AirKg/cold.AirM3, 1e-3, "density of dry air at 0 degC, from memory")
}

// The two directions of the saturation line undo each other, and it rises.
func TestSaturationLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.Float64Range(0.001, 373).Draw(t, "temp")
		p := combustion.SaturationPressurePa(c)
		require.InDelta(t, c, combustion.SaturationTempC(p), 1e-6)
		require.Greater(t, combustion.SaturationPressurePa(c+0.5), p)
	})
	for _, v := range []float64{
		combustion.SaturationPressurePa(-0.1), combustion.SaturationPressurePa(374), combustion.SaturationTempC(611),
		combustion.SaturationTempC(2.3e7), combustion.MagnusPressurePa(-46), combustion.MagnusPressurePa(61),
		combustion.SaturationTempC(math.NaN()),
	} {
		require.True(t, math.IsNaN(v))
	}
}

// More air lowers the dew point, and so does altitude.
func TestDewPointFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawBurn(t)
		lambda := rapid.Float64Range(1, 3).Draw(t, "lambda")
		pressure := rapid.Float64Range(6e4, 1.05e5).Draw(t, "pressure")
		d := s.FlueGasAt(lambda).DewPointC(pressure)
		require.Less(t, s.FlueGasAt(lambda+0.05).DewPointC(pressure), d)
		require.Less(t, s.FlueGasAt(lambda).DewPointC(pressure*0.98), d)
	})
}

// A hotter flue and more air cost more; nothing jumps at the dew point; below
// it the balance gives back latent heat, at most all of it.
func TestIndirectLoss(t *testing.T) {
	const p = 101325
	h, err := combustion.Methane.Heating()
	require.NoError(t, err)
	s, err := combustion.Methane.Burn(combustion.AirO2Physical)
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		f := s.FlueGasAt(rapid.Float64Range(1, 2).Draw(t, "lambda"))
		c := rapid.Float64Range(25, 280).Draw(t, "flue")
		l := f.IndirectLoss(h, c, 20, p)
		require.Greater(t, f.IndirectLoss(h, c+1, 20, p).TotalPercent, l.TotalPercent)
		require.Greater(t, s.FlueGasAt(f.Lambda+0.05).IndirectLoss(h, c, 20, p).TotalPercent, l.TotalPercent)
		require.Equal(t, c < f.DewPointC(p), l.CondensedPart > 0)
		require.Less(t, l.CondensedPart, 1.0)
		dew := f.DewPointC(p)
		require.InDelta(t, f.IndirectLoss(h, dew-1e-6, 20, p).TotalPercent, f.IndirectLoss(h, dew+1e-6, 20, p).TotalPercent, 1e-4)
	})
	// Dry flue at the air's temperature: what is left is vapour at saturation.
	cold := s.FlueGasAt(1.25).IndirectLoss(h, 20, 20, p)
	require.InDelta(t, 0, cold.DryPercent, 1e-12)
	// Latent heat of methane's water is gross less net, 10 % of gross: at 20 degC
	// some 15 % of the vapour stays vapour.
	require.InDelta(t, 10*(1-cold.CondensedPart), cold.WaterPercent, 0.15)
	nan := combustion.Stoichiometry.FlueGasAt(s, 0.9)
	require.True(t, math.IsNaN(nan.IndirectLoss(h, 60, 20, p).TotalPercent))
}

// The water's heat by the formula's own figures: liquid where the pressure lets
// next to nothing stay vapour, and vapour below and above 575 degF.
func TestHeatOfTheWater(t *testing.T) {
	h, err := combustion.Methane.Heating()
	require.NoError(t, err)
	s, err := combustion.Methane.Burn(combustion.AirO2Physical)
	require.NoError(t, err)
	f := s.FlueGasAt(1.25)
	perKg := func(flueC, pressurePa float64) float64 {
		return f.IndirectLoss(h, flueC, 20, pressurePa).WaterPercent / 100 * h.GrossKJPerMol / f.WaterMassG() * 1000
	}
	require.InDelta(t, 4.1868*20, perKg(40, 1e10), 0.1, "1 Btu/(lb F) over 20 K")
	require.InDelta(t, 2.326*(1066+0.5*570-68), perKg((570-32)/1.8, 101325), 1e-6)
	require.InDelta(t, 2.326*(1089+0.46*700-68), perKg((700-32)/1.8, 101325), 1e-6)
}

// On one gas the ordinance's net loss and the balance's sensible part agree
// within half a point: two published methods for one thing.
func TestTwoMethodsAgree(t *testing.T) {
	for class, gas := range map[string]combustion.Gas{"public gas": combustion.PipelineGas, "LPG": combustion.Propane} {
		h, err := gas.Heating()
		require.NoError(t, err)
		s, err := gas.Burn(combustion.AirO2Ordinance)
		require.NoError(t, err)
		k, err := combustion.OrdinanceConstants(class)
		require.NoError(t, err)
		for _, o2 := range []float64{2, 4, 6} {
			f := s.FlueGasAt(s.LambdaFromO2(o2))
			hot, cold := f.IndirectLoss(h, 160, 20, 1e4), f.IndirectLoss(h, 20, 20, 1e3)
			sensible := (hot.TotalPercent - cold.TotalPercent) * h.GrossPerNet()
			require.InDelta(t, k.LossPercent(160, 20, o2), sensible, 0.5, "%s at %v %% O2", class, o2)
		}
	}
	_, err := combustion.OrdinanceConstants("peat")
	require.Error(t, err)
	require.Equal(t, "LPG", combustion.OrdinanceClass("butane"))
	require.Empty(t, combustion.OrdinanceClass("peat"))
	k, _ := combustion.OrdinanceConstants("LPG")
	require.True(t, math.IsNaN(k.LossPercent(160, 20, 21)))
}

// Heat of a mixture lies between its parts, hydrogen and carbon dioxide thin
// it out, and a mixture of a gas with itself is the gas.
func TestMixtures(t *testing.T) {
	heat := func(g combustion.Gas, err error) combustion.Heating {
		require.NoError(t, err)
		h, err := g.Heating()
		require.NoError(t, err)
		return h
	}
	half := heat(combustion.PropaneButane(50))
	require.InDelta(t, (2221.10+2879.76)/2, half.GrossKJPerMol, 1e-9, "ISO 6976:2016, mean of the two")
	require.Less(t, heat(combustion.WithHydrogen(combustion.PipelineGas, 20)).GrossMJPerM3, heat(combustion.PipelineGas, nil).GrossMJPerM3)
	require.InDelta(t, 0.6*891.51, heat(combustion.Biogas(60)).GrossKJPerMol, 1e-9)
	same, err := combustion.Blend("same", combustion.PipelineGas, combustion.PipelineGas, 37)
	require.InDelta(t, heat(combustion.PipelineGas, nil).WobbeMJPerM3, heat(same, err).WobbeMJPerM3, 1e-9)
	_, err = combustion.Gas{Name: "x", Parts: []combustion.Part{{Species: "y", Percent: 1}}}.Heating()
	require.ErrorContains(t, err, "y")
}

func TestGases(t *testing.T) {
	gases, err := combustion.Gases(map[string]map[string]float64{
		"town gas": {"hydrogen": 50, "methane": 30, "carbon monoxide": 20},
		"propane":  {"propane": 95, "butane": 5},
	})
	require.NoError(t, err)
	for _, name := range []string{"natural gas", "propane", "butane", "propane-butane", "biogas", "town gas"} {
		_, err := gases[name].Burn(combustion.AirO2Field)
		require.NoError(t, err, name)
	}
	require.Len(t, gases["propane"].Parts, 2)
	for _, bad := range []map[string]float64{nil, {"ethanol": 1}, {"nitrogen": 100}, {"methane": -1}} {
		_, err := combustion.Gases(map[string]map[string]float64{"odd gas": bad})
		require.ErrorContains(t, err, "odd gas")
	}
}

func TestCOMassAndRatio(t *testing.T) {
	require.InEpsilon(t, 298.15/273.15, combustion.COMgPerM3(50, 0, 101325)/combustion.COMgPerM3(50, 25, 101325), 1e-12)
	require.True(t, math.IsNaN(combustion.COMgPerM3(-1, 0, 101325)))
	require.True(t, math.IsNaN(combustion.CORatio(10, 0)))
	require.True(t, math.IsNaN(combustion.CORatio(-1, 9)))
	require.True(t, math.IsNaN(combustion.RegulatoryFFactor("peat").DryScf))
}
