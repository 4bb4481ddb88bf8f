package estimate

import "fluedrift/model/drift"

// Priors are what an estimate takes for granted where the records of a fleet are
// too few to tell: under 20 differences the coefficients themselves, under 400
// wide priors about them, and the ratios wherever they cannot be estimated.
type Priors struct {
	Ratios      drift.Theta // of the standard deviations to the noise of a reading
	NoisePoints float64     // that noise, until it can be estimated
	Rate        drift.Prior // points a year, of each class of burner control
	Vent        drift.Prior // points a year per standard deviation of the vents
	Age         drift.Prior // points a year per year of age
	AirSD       float64     // points per K; its mean is by burner control
	// AirSpreadK is how far the air of a single day lies from the season's course,
	// standard deviation, where the records do not tell.
	AirSpreadK float64
	// AgeingSD is how fast analyzers may age between calibrations, points a year in
	// either direction; it holds at every amount of data.
	AgeingSD      float64
	CertificateSD float64 // of what a calibration finds, where it declares none, points
}

// AirSpreadK is a usual spread of daily mean temperatures about the season, K (from
// memory).
const AirSpreadK = 4

// DefaultPriors expect no drift in either direction: a wrong direction costs more
// than none.
func DefaultPriors() Priors {
	return Priors{
		Ratios: drift.FixedRatios, NoisePoints: drift.TypicalSigma,
		Rate: drift.Prior{SD: 0.05}, Vent: drift.Prior{SD: 0.1}, Age: drift.Prior{SD: 0.01},
		AirSD: 0.03, AirSpreadK: AirSpreadK, AgeingSD: 0.1, CertificateSD: 0.03,
	}
}

// about is a prior of the same width about nothing: of what is added to another
// column.
func about(p drift.Prior) *drift.Prior { return &drift.Prior{SD: p.SD} }
