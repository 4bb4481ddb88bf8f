package judge

import "fluedrift/model/combustion"

// Rules are the figures and tables a judgement is made with. Start from
// DefaultRules: the zero value declares no fuel and judges next to nothing.
type Rules struct {
	// Fuels by name, with the CO2max that turns O2 into CO2.
	Fuels map[string]combustion.Fuel

	// TargetOf returns what a model line asks for at a fire on a fuel and day;
	// a Target without Origin where nothing is declared. It is asked for the
	// fuels a unit is not registered for. Nil: fuel labels are not judged.
	TargetOf func(line, fire, fuel string, day int32) Target

	CopyFields        int     // values that must agree before a visit counts as copied
	SameWithinPoints  float64 // as found and as left further apart in CO2 show an adjustment
	FarBands          float64 // as left beyond so many setting bands is in doubt
	LabelAsLefts      int     // as lefts needed to doubt a fuel label
	OverCO2MaxPoints  float64 // CO2 this far above CO2max is impossible
	RichO2Percent     float64 // O2 below this leaves hardly any excess air
	RichCOPPM         float64 // CO as measured from here on may mean a lack of air
	PairShare         float64 // O2 and CO2 of two cells agree to this share of CO2max
	ComputedShare     float64 // likewise where CO2 is computed from O2
	OtherGasPoints    float64 // further off target than this a gas may be the other one
	WarmUpMinutes     float64 // a reading sooner after the start of firing is early
	HighRatePercent   float64 // a rate below this is not high fire
	RoomKelvin        float64 // air at an outdoor intake this much warmer than outdoors
	AssumedCOBasis    string  // what "unknown" stands for: "as measured" errs on the safe side
	SetBandsToActBand float64 // an action band nobody declared, in setting bands

	// Gases holds the compositions of the fuels by name; nil: the typical ones.
	Gases map[string]combustion.Gas
	// Resolutions says in which steps each source shows its gases (Resolutions
	// of a fleet). Where a source is not in it the decimals on record stand.
	Resolutions map[string]Resolution
}

// DefaultRules returns the figures in use with the given fuels. The 1.75
// setting bands, three as lefts and 0.2 points over CO2max come with the drift
// model. Two minutes after the start are what 1. BImSchV, Anlage 2, asks for. A
// pair may be off by what an analyzer is allowed: 0.4 points of O2 and 0.35 of
// CO2 together are 6.5 % of CO2max (a Swiss metrology instruction of 2004, read
// in quotation). The rest is our choice; no source prints it.
func DefaultRules(fuels map[string]combustion.Fuel) Rules {
	return Rules{
		Fuels:      fuels,
		CopyFields: 3, SameWithinPoints: 0.05,
		FarBands: 1.75, LabelAsLefts: 3, OverCO2MaxPoints: 0.2,
		RichO2Percent: 1, RichCOPPM: 1000,
		PairShare: 0.065, ComputedShare: 0.03, OtherGasPoints: 1.5,
		WarmUpMinutes: 2, HighRatePercent: 80, RoomKelvin: 12,
		AssumedCOBasis: AsMeasured, SetBandsToActBand: 2,
	}
}
