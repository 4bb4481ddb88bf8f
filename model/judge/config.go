package judge

import (
	"fluedrift/model/combustion"
	"fluedrift/model/day"
)

// Config holds the figures and tables a judgement is made with. Start from
// DefaultRules: the zero value declares no fuel and judges next to nothing.
type Config struct {
	// Fuels by name, with the CO2max that turns O2 into CO2.
	Fuels map[string]combustion.Fuel

	// Configured are all fuels whose CO2max is declared, those that no unit of the
	// fleet burns as well, for where the fuel of a reading is not known. Nil: Fuels.
	Configured map[string]combustion.Fuel

	// TargetOf is asked for the fuels a unit is not registered for. Where nothing is
	// declared the unit's own target stands in, scaled by CO2max. Nil: nothing is
	// declared.
	TargetOf LineTargets

	CopyFields       int     // values that must agree before a visit counts as copied
	SameWithinPoints float64 // as found and as left further apart in CO2 show an adjustment
	FarBands         float64 // as left beyond so many setting bands is in doubt
	LabelAsLefts     int     // as-left readings needed to doubt a fuel label
	OverCO2MaxPoints float64 // CO2 this far above CO2max is impossible
	RichO2Percent    float64 // O2 below this leaves hardly any excess air
	RichCOPPM        float64 // CO as measured from here on may mean a lack of air
	PairShare        float64 // O2 and CO2 of two cells agree to this share of CO2max
	ComputedShare    float64 // likewise where CO2 is computed from O2
	OtherGasPoints   float64 // further off target than this a gas may be the other one
	WarmUpMinutes    float64 // a reading sooner after the start of firing is early
	HighRatePercent  float64 // a rate below this is not high fire
	RoomKelvin       float64 // air at an outdoor intake this much warmer than outdoors
	// A reading with CO2 below, or O2 or lambda above these shows no burner at work.
	NoBurnerCO2Percent, NoBurnerO2Percent, NoBurnerLambda float64

	AssumedCOBasis    string  // what "unknown" stands for: "as measured" errs on the safe side
	SetBandsToActBand float64 // an action band nobody declared, in setting bands

	// Gases holds the compositions of the fuels by name; nil: the typical ones.
	Gases map[string]combustion.Gas
	// Resolutions says in which steps each source shows its gases (Resolutions
	// of a fleet). Where a source is not in it the decimals on record stand.
	Resolutions map[string]Resolution
	// Pairs says of each analyzer and source how its pairs of O2 and CO2 lie
	// (PairsIn of a fleet). Where neither is in it the unit's own pairs are asked.
	Pairs map[PairOf]PairFit
}

// configured are the fuels to choose from where none is known.
func (r *Config) configured() map[string]combustion.Fuel {
	if r.Configured != nil {
		return r.Configured
	}
	return r.Fuels
}

// highestFuel returns the configured fuel with the highest CO2max, of equals the
// first by name; the zero Fuel where none is declared.
func (r *Config) highestFuel() combustion.Fuel {
	var highest combustion.Fuel
	for name, f := range r.configured() {
		above := f.CO2MaxPercent > highest.CO2MaxPercent || f.CO2MaxPercent == highest.CO2MaxPercent && name < highest.Name
		if f.Declared() && above {
			highest = f
			highest.Name = name
		}
	}
	return highest
}

// EveryFuelMakes reports whether each configured fuel can make a CO2 in percent.
// One that some cannot says nothing sure of a reading whose fuel is not known.
func (r *Config) EveryFuelMakes(co2Percent float64) bool {
	for _, f := range r.configured() {
		if f.Declared() && co2Percent > f.CO2MaxPercent {
			return false
		}
	}
	return true
}

// MostCO2 returns the CO2 in percent that dry flue gas of a fuel cannot exceed:
// CO2max of the fuel, of one that is not declared the highest of all; 100 where
// none is declared.
func (r *Config) MostCO2(fuel string) float64 {
	for _, f := range []combustion.Fuel{r.Fuels[fuel], r.highestFuel()} {
		if f.Declared() {
			return f.CO2MaxPercent
		}
	}
	return 100
}

// DefaultConfig returns the figures in use with the given fuels. The 1.75 setting bands,
// three as-left readings and 0.2 points over CO2max come with the drift model. Two minutes
// after the start are what 1. BImSchV, Anlage 2, asks for. A pair may be off by what an
// analyzer is allowed: 0.4 points of O2 and 0.35 of CO2 together are 6.5 % of CO2max (a
// Swiss metrology instruction of 2004, read in quotation). No burner at work from 2 % CO2,
// 17.5 % O2 and lambda 6: common practice, no source. The rest is our choice; no source
// prints it.
func DefaultConfig(fuels map[string]combustion.Fuel) Config {
	return Config{
		Fuels: fuels, Configured: fuels,
		CopyFields: 3, SameWithinPoints: 0.05,
		FarBands: 1.75, LabelAsLefts: 3, OverCO2MaxPoints: 0.2,
		RichO2Percent: 1, RichCOPPM: 1000,
		PairShare: 0.065, ComputedShare: 0.03, OtherGasPoints: 1.5,
		NoBurnerCO2Percent: 2, NoBurnerO2Percent: 17.5, NoBurnerLambda: 6,
		WarmUpMinutes: 2, HighRatePercent: 80, RoomKelvin: 12,
		AssumedCOBasis: AsMeasured, SetBandsToActBand: 2,
	}
}

// CORecord returns the CO on record of a unit's fire up to a day.
func (r *Config) CORecord(h *History, fire Fire, asOf day.Day) CORecord {
	return CORecord{r, h, fire, asOf}
}

// PairsOf judges those of a source.
func (r *Config) PairsOf(source string) SourcePairs { return SourcePairs{r, source} }
