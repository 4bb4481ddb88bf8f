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
	AssumedCOBasis    string  // what "unknown" stands for: "as measured" errs on the safe side
	SetBandsToActBand float64 // an action band nobody declared, in setting bands
}

// DefaultRules returns the figures in use with the given fuels. The 1.75
// setting bands, three as lefts and 0.2 points over CO2max come with the drift
// model; the rest is our choice. No source prints them.
func DefaultRules(fuels map[string]combustion.Fuel) Rules {
	return Rules{
		Fuels:      fuels,
		CopyFields: 3, SameWithinPoints: 0.05,
		FarBands: 1.75, LabelAsLefts: 3, OverCO2MaxPoints: 0.2,
		RichO2Percent: 1, RichCOPPM: 1000,
		AssumedCOBasis: AsMeasured, SetBandsToActBand: 2,
	}
}
