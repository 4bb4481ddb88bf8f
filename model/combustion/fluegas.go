package combustion

import "math"

// FlueGas is what a mol of fuel leaves when it burns completely with some
// excess of dry air. Amounts are mol per mol of fuel.
type FlueGas struct {
	Lambda                       float64
	CO2Mol, H2OMol, O2Mol, N2Mol float64 // the argon of the air counts as nitrogen
	DryMol, WetMol               float64
	FuelMassG, AirMassG          float64 // per mol of fuel; together the mass of the flue gas
}

// FlueGasAt returns the flue gas at a lambda; every number is NaN below 1.
func (s Stoichiometry) FlueGasAt(lambda float64) FlueGas {
	if !(lambda >= 1) {
		nan := math.NaN()
		return FlueGas{nan, nan, nan, nan, nan, nan, nan, nan, nan}
	}
	extra := (lambda - 1) * s.AirMol
	f := FlueGas{Lambda: lambda, CO2Mol: s.CO2Mol, H2OMol: s.H2OMol}
	f.O2Mol = extra * s.Air.fraction()
	f.N2Mol = s.N2Mol + extra - f.O2Mol
	f.DryMol = f.CO2Mol + f.O2Mol + f.N2Mol
	f.WetMol = f.DryMol + f.H2OMol
	f.FuelMassG = s.Formula.molarMassG()
	f.AirMassG = lambda * s.AirMol * dryAirMassG
	return f
}

// MassG returns the mass of the flue gas of a mol of fuel: what went in.
func (f FlueGas) MassG() float64 { return f.FuelMassG + f.AirMassG }

// WaterMassG returns the mass of the water formed by a mol of fuel.
func (f FlueGas) WaterMassG() float64 { return f.H2OMol * waterMassG }

// waterShare returns the water vapour in mol per mol of wet flue gas.
func (f FlueGas) waterShare() float64 { return f.H2OMol / f.WetMol }

// DewPointC returns the temperature at which the flue gas begins to condense
// at a pressure, in degC: the saturation temperature of its water's partial
// pressure. The combustion air counts as dry; humid air raises it.
func (f FlueGas) DewPointC(pressurePa float64) float64 {
	return saturationTempC(f.waterShare() * pressurePa)
}

var waterMassG = Atoms{H: 2, O: 1}.molarMassG()
