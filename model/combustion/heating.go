package combustion

import "math"

// Constants of ISO 6976:2016 (from memory, confirmed by the mixture figures
// that they reproduce to the last digit).
const (
	gasConstant   = 8.3144621 // J/(mol K)
	dryAirMassG   = 28.96546  // g/mol
	dryAirZ15C    = 0.999595  // compression factor of dry air at 15 degC
	pressureRefPa = 101325
	kelvinZeroC   = 273.15
	celsius60F    = 140.0 / 9
)

// Heating is what a gas gives when it burns, by ISO 6976:2016. Volumes are of
// the real gas at 15 degC and 101.325 kPa, burnt at 15 degC, except where the
// name says otherwise. Gross counts the heat of condensing the water formed,
// net does not.
type Heating struct {
	MolarMassG               float64 // g/mol
	GrossKJPerMol            float64 // at 15 degC
	GrossKJPerMol60F         float64
	NetKJPerMol              float64
	GrossMJPerM3, NetMJPerM3 float64
	IdealGrossMJPerM3At60F   float64 // of the ideal gas, 60 degF and 101.325 kPa
	Compression              float64 // Z
	RelativeDensity          float64 // to dry air
	WobbeMJPerM3             float64 // gross heat over the root of relative density
}

// Heating returns the gas's heating values, density and Wobbe index:
//
//	Z = 1 - (sum x s)^2   H = sum x H / volume   volume = R T Z/p
//	d = M/M_air Z_air/Z   W = H/sqrt(d)
//
// Errors are those of Atoms.
func (g Gas) Heating() (Heating, error) {
	var h Heating
	var atoms Atoms
	sum := 0.0
	err := g.each(func(x float64, s molecule) {
		h.GrossKJPerMol += x * s.gross15C
		h.GrossKJPerMol60F += x * s.gross60F
		h.MolarMassG += x * s.molarMassG()
		atoms.H += x * s.H
		sum += x * s.sum15C
	})
	if err != nil {
		return Heating{}, err
	}
	h.NetKJPerMol = h.GrossKJPerMol - atoms.H/2*condensing15C
	h.Compression = 1 - sum*sum
	volumeL := molarVolumeL(15) * h.Compression
	h.GrossMJPerM3, h.NetMJPerM3 = h.GrossKJPerMol/volumeL, h.NetKJPerMol/volumeL
	h.IdealGrossMJPerM3At60F = h.GrossKJPerMol60F / molarVolumeL(celsius60F)
	h.RelativeDensity = h.MolarMassG / dryAirMassG * dryAirZ15C / h.Compression
	h.WobbeMJPerM3 = h.GrossMJPerM3 / math.Sqrt(h.RelativeDensity)
	return h, nil
}

// GrossPerNet returns gross over net heating value: by it a share of net input
// is larger than the same share of gross input.
func (h Heating) GrossPerNet() float64 { return h.GrossKJPerMol / h.NetKJPerMol }

// CO2KgPerMJ returns the carbon dioxide that a unit of gross heat at 60 degF
// leaves.
func (h Heating) CO2KgPerMJ(s Stoichiometry) float64 {
	return s.CO2Mol * molecules["carbon dioxide"].molarMassG() / h.GrossKJPerMol60F
}

// molarVolumeL returns the volume of a mol of ideal gas at 101.325 kPa, litres.
func molarVolumeL(tempC float64) float64 {
	return 1000 * gasConstant * (tempC + kelvinZeroC) / pressureRefPa
}
