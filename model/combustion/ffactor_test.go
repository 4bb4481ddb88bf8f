package combustion

import "math"

// FFactor is how much dry flue gas, wet flue gas and carbon dioxide a unit of
// gross heat makes without excess air, in standard cubic feet (68 degF, 1 atm)
// per million Btu.
type FFactor struct{ DryScf, WetScf, CO2Scf float64 }

// regulatory holds 40 CFR 60 Appendix A, Method 19, Table 19-2; 40 CFR 75
// Appendix F, Table 1 has the same for dry gas and CO2. Dry and CO2 were read
// in quotation, wet for natural gas too; wet for propane and butane is from
// memory, and for propane 2.5 % below what the atoms give.
var regulatory = map[string]FFactor{
	"natural gas": {8710, 10610, 1040},
	"propane":     {8710, 10200, 1190},
	"butane":      {8710, 10390, 1250},
}

// RegulatoryFFactor returns the published factors of a fuel: natural gas,
// propane or butane; NaN for another. They are rounded by 1 to 2 %, so they
// serve where a regulation is followed and nowhere else.
func RegulatoryFFactor(fuel string) FFactor {
	if f, ok := regulatory[fuel]; ok {
		return f
	}
	return FFactor{math.NaN(), math.NaN(), math.NaN()}
}

// Fo returns 0.209 Fd/Fc, the Fo that the factors imply.
func (f FFactor) Fo() float64 { return AirO2Field.fraction() * f.DryScf / f.CO2Scf }

// Units of the F factors.
const (
	btuKJ        = 1.05505585262 // International Table, NIST SP 811
	cubicFeetPer = 385.35        // ft3 of ideal gas in a lb-mol at 68 degF, 1 atm
	lbMol        = 453.59237     // mol
)

// FFactorOf returns the factors that a composition gives.
func FFactorOf(s Stoichiometry, h Heating) FFactor {
	molPerMMBtu := 1e6 * btuKJ / h.GrossKJPerMol60F
	scf := molPerMMBtu / lbMol * cubicFeetPer
	return FFactor{DryScf: s.DryMol * scf, WetScf: s.WetMol * scf, CO2Scf: s.CO2Mol * scf}
}

// DryM3PerJ returns the dry factor in m3 (20 degC, 1 atm) per J.
func (f FFactor) DryM3PerJ() float64 {
	const m3PerFt3 = 0.3048 * 0.3048 * 0.3048
	return f.DryScf * m3PerFt3 / (1e9 * btuKJ)
}
