package combustion

import (
	"fmt"
	"math"
)

// FlueConstants are the two numbers by which the ordinance turns O2 and
// temperatures into a flue loss.
type FlueConstants struct{ A, B float64 }

// flueConstants are those of 1. BImSchV (2010), Annex 2 No. 3.4.1 (read in the
// 2010 text; later amendments not checked).
var flueConstants = map[string]FlueConstants{
	"public gas":    {0.66, 0.009}, // gas of the public supply
	"LPG":           {0.63, 0.008}, // liquefied petroleum gas and its mixtures with air
	"coke-oven gas": {0.60, 0.011},
	"light oil":     {0.68, 0.007},
}

// OrdinanceConstants returns the constants of a class of fuel: public gas, LPG,
// coke-oven gas or light oil. An error for another.
func OrdinanceConstants(class string) (FlueConstants, error) {
	k, ok := flueConstants[class]
	if !ok {
		return k, fmt.Errorf("the ordinance has no flue constants for %q\nwrite one of %q", class, sortedNames(flueConstants))
	}
	return k, nil
}

// OrdinanceClass returns the class of a fuel that records name; "" for one the
// ordinance does not know.
func OrdinanceClass(fuel string) string {
	return map[string]string{"natural gas": "public gas", "propane": "LPG", "butane": "LPG", "propane-butane": "LPG"}[fuel]
}

// LossPercent returns the flue loss in percent of net input:
//
//	(t_flue - t_air) (A/(21 - O2) + B)
//
// It is sensible heat only, so it means nothing below the dew point, and its
// air holds 21 % of oxygen by definition. NaN outside 0 <= O2 < 21.
// Source: 1. BImSchV (2010), Annex 2 No. 3.4.1.
func (k FlueConstants) LossPercent(flueTempC, airTempC, o2Percent float64) float64 {
	if !(o2Percent >= 0 && o2Percent < float64(AirO2Ordinance)) {
		return math.NaN()
	}
	return (flueTempC - airTempC) * (k.A/(float64(AirO2Ordinance)-o2Percent) + k.B)
}

// Loss is the heat that leaves with the flue gas, in percent of gross input.
type Loss struct {
	DryPercent    float64 // sensible heat of the dry gas
	WaterPercent  float64 // of the water formed: latent and sensible heat
	TotalPercent  float64
	CondensedPart float64 // of the water formed, 0 above the dew point
}

// Constants of the abbreviated form of ASME PTC 4.1 (from memory), with t in
// degF and heat in Btu/lb: 0.24 for the dry gas; for vapour from water at the
// air's temperature 1066 + 0.5 t_flue - t_air, above 575 degF 1089 + 0.46
// t_flue - t_air.
const (
	btuLbF        = 4.1868 // kJ/(kg K), exact for the International Table Btu
	btuLb         = 2.326  // kJ/kg, likewise exact
	dryGasBtuLbF  = 0.24
	vapourSplitF  = 575
	vapourLowBtu  = 1066
	vapourHighBtu = 1089
)

// IndirectLoss returns the flue loss of a gas by the indirect balance, with
// the water's latent heat: what the dry gas and the water formed carry away
// between the air's temperature and the flue's.
//
// Below the dew point at the given pressure only the vapour that saturation
// allows leaves as vapour; the rest leaves as water at the flue temperature.
// That is the most a heat exchanger can condense, so the loss is the least it
// can be there. NaN below lambda 1.
func (f FlueGas) IndirectLoss(h Heating, flueTempC, airTempC, pressurePa float64) Loss {
	dryKg, waterKg := (f.MassG()-f.WaterMassG())/1000, f.WaterMassG()/1000
	per := 100 / h.GrossKJPerMol
	l := Loss{CondensedPart: f.CondensedPart(flueTempC, pressurePa)}
	l.DryPercent = per * dryKg * dryGasBtuLbF * btuLbF * (flueTempC - airTempC)
	vapour := (1 - l.CondensedPart) * vapourKJPerKg(flueTempC, airTempC)
	liquid := l.CondensedPart * btuLbF * (flueTempC - airTempC)
	l.WaterPercent = per * waterKg * (vapour + liquid)
	l.TotalPercent = l.DryPercent + l.WaterPercent
	return l
}

// vapourKJPerKg returns the heat of vapour at the flue temperature above that
// of water at the air's.
func vapourKJPerKg(flueTempC, airTempC float64) float64 {
	flueF, airF := 1.8*flueTempC+32, 1.8*airTempC+32
	if flueF < vapourSplitF {
		return btuLb * (vapourLowBtu + 0.5*flueF - airF)
	}
	return btuLb * (vapourHighBtu + 0.46*flueF - airF)
}

// CondensedPart returns the part of the water formed that saturation leaves no
// room for at a flue temperature and pressure, 0 above the dew point.
func (f FlueGas) CondensedPart(flueTempC, pressurePa float64) float64 {
	saturated := saturationPressurePa(flueTempC) / pressurePa
	if !(saturated < f.waterShare()) {
		return 0
	}
	return 1 - saturated/(1-saturated)*f.DryMol/f.H2OMol
}
