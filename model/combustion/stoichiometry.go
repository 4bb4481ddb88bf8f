package combustion

import (
	"fmt"
	"math"
)

// Stoichiometry is what one mol of a fuel gas needs and leaves when it burns
// completely in exactly the dry air it needs. Amounts are mol per mol of fuel,
// which for ideal gases is m3 per m3.
type Stoichiometry struct {
	Air     AirO2
	AirMol  float64 // dry air needed
	CO2Mol  float64
	H2OMol  float64
	N2Mol   float64 // of the air and of the fuel
	DryMol  float64 // dry flue gas: CO2 and N2
	WetMol  float64 // with the water vapour
	O2Need  float64 // oxygen drawn from the air
	Formula Atoms   // mean molecule of the fuel
}

// Burn returns the stoichiometry of a gas under a convention for air. The
// oxygen in the fuel's own molecules counts towards its need. An error for a
// convention nobody uses, a composition that cannot be read, or a gas that
// needs no air.
func (g Gas) Burn(air AirO2) (Stoichiometry, error) {
	if err := air.check(); err != nil {
		return Stoichiometry{}, err
	}
	m, err := g.Atoms()
	if err != nil {
		return Stoichiometry{}, err
	}
	need := m.C + m.H/4 - m.O/2
	if !(need > 0) {
		return Stoichiometry{}, fmt.Errorf("gas %q: it needs no air to burn", g.Name)
	}
	s := Stoichiometry{Air: air, Formula: m, O2Need: need, CO2Mol: m.C, H2OMol: m.H / 2}
	s.AirMol = need / air.fraction()
	s.N2Mol = m.N/2 + s.AirMol - need
	s.DryMol = s.CO2Mol + s.N2Mol
	s.WetMol = s.DryMol + s.H2OMol
	return s, nil
}

// CO2MaxPercent returns the CO2 of the dry flue gas without excess air; 0 for
// a fuel without carbon.
func (s Stoichiometry) CO2MaxPercent() float64 { return 100 * s.CO2Mol / s.DryMol }

// Fuel returns the gas as a fuel with this CO2max.
func (s Stoichiometry) Fuel(name string) Fuel {
	return Fuel{Name: name, CO2MaxPercent: s.CO2MaxPercent(), Air: s.Air}
}

// LambdaFromO2 returns air over air needed:
//
//	lambda = 1 + DryMol/AirMol x O2/(air - O2)
//
// NaN outside 0 <= O2 < air.
func (s Stoichiometry) LambdaFromO2(o2Percent float64) float64 {
	if !(o2Percent >= 0 && o2Percent < float64(s.Air)) {
		return math.NaN()
	}
	return 1 + s.DryMol/s.AirMol*o2Percent/(float64(s.Air)-o2Percent)
}

// LambdaFromCO2 returns air over air needed:
//
//	lambda = 1 + DryMol/AirMol x (CO2max/CO2 - 1)
//
// NaN outside 0 < CO2 <= CO2max. A rich flame shows the same CO2 as some lean
// one; only O2 and CO can tell them apart.
func (s Stoichiometry) LambdaFromCO2(co2Percent float64) float64 {
	top := s.CO2MaxPercent()
	if !(co2Percent > 0 && co2Percent <= top) {
		return math.NaN()
	}
	return 1 + s.DryMol/s.AirMol*(top/co2Percent-1)
}

// CO2FromLambda returns the CO2 of the dry flue gas, in percent; NaN below
// lambda 1.
func (s Stoichiometry) CO2FromLambda(lambda float64) float64 {
	if !(lambda >= 1) {
		return math.NaN()
	}
	return 100 * s.CO2Mol / (s.DryMol + (lambda-1)*s.AirMol)
}

// O2FromLambda returns the O2 of the dry flue gas, in percent; NaN below
// lambda 1.
func (s Stoichiometry) O2FromLambda(lambda float64) float64 {
	if !(lambda >= 1) {
		return math.NaN()
	}
	extra := (lambda - 1) * s.AirMol
	return float64(s.Air) * extra / (s.DryMol + extra)
}
