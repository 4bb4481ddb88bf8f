package judge

import (
	"math"

	"fluedrift/model/combustion"
)

// Bases a CO value may be recorded on.
const (
	AsMeasured  = "as measured"
	AirFree     = "air-free"
	AtReference = "reference"
)

// Limits of a value that was recorded as "below" or "above" a number.
const (
	Below = "below"
	Above = "above"
)

// hair absorbs the last binary digit of sums such as 9.0 + 0.2.
const hair = 1e-9

// edge is how far beyond a limit a deviation must lie to count, CO2 points:
// displays step onto limits, and the same value recorded in O2 comes back a
// little to either side of it.
const edge = 1e-3

// CO2 returns the CO2 of a reading in percent: as recorded, else from O2 by
// the declared CO2max of its fuel. NaN where neither is to be had.
func (r *Config) CO2(x *Reading) float64 {
	if !math.IsNaN(x.CO2Percent) {
		return x.CO2Percent
	}
	return r.Fuels[x.Fuel].CO2FromO2(x.O2Percent)
}

// TargetCO2 returns a target in percent CO2, converted by the fuel's declared
// CO2max where it is declared in O2; NaN where there is none.
func (r *Config) TargetCO2(t *Target, fuel string) float64 {
	if !t.Declared() {
		return math.NaN()
	}
	if !math.IsNaN(t.CO2Percent) {
		return t.CO2Percent
	}
	return r.Fuels[fuel].CO2FromO2(t.O2Percent)
}

// Deviation returns CO2 minus target in points of CO2, positive on the rich
// side; NaN without a value or a target. The gas the target is declared in is
// compared where it was recorded, so that two conversions cannot disagree.
func (r *Config) Deviation(x *Reading) float64 {
	t := &x.Target
	if t.Declared() && math.IsNaN(t.CO2Percent) && !math.IsNaN(x.O2Percent) {
		return (t.O2Percent - x.O2Percent) * r.Fuels[x.Fuel].CO2PerO2()
	}
	return r.CO2(x) - r.TargetCO2(t, x.Fuel)
}

// surely returns the deviation of a reading brought nearer to its target by
// half of its last digit: what lies beyond a limit with it does so whichever
// gas was recorded, and however it was rounded.
func (r *Config) surely(x *Reading) float64 {
	half := halfDigit(x.CO2Decimals, 0)
	if math.IsNaN(x.CO2Percent) {
		half = halfDigit(x.O2Decimals, 0) * r.Fuels[x.Fuel].CO2PerO2()
	}
	d := r.Deviation(x)
	return math.Copysign(math.Max(0, math.Abs(d)-half), d)
}

// MeanDeviation returns the mean of the deviations of some readings from their
// targets, points of CO2.
func (r *Config) MeanDeviation(readings []*Reading) float64 {
	sum := 0.0
	for _, x := range readings {
		sum += r.Deviation(x)
	}
	return sum / float64(len(readings))
}

// MeanFound returns the first of some tied readings with the mean of their gases, in
// one decimal more than the finest of them; a gas that not all of them have is
// dropped, and where none is in all of them the CO2 is the mean of Rules.CO2.
func (r *Config) MeanFound(tied []*Reading) *Reading {
	out := *tied[0]
	n := float64(len(tied))
	co2, o2, asCO2 := 0.0, 0.0, 0.0
	for _, x := range tied {
		co2, o2, asCO2 = co2+x.CO2Percent/n, o2+x.O2Percent/n, asCO2+r.CO2(x)/n
		out.CO2Decimals, out.O2Decimals = max(out.CO2Decimals, x.CO2Decimals), max(out.O2Decimals, x.O2Decimals)
	}
	out.CO2Percent, out.O2Percent = co2, o2
	if math.IsNaN(co2) && math.IsNaN(o2) {
		out.CO2Percent, out.CO2Decimals = asCO2, max(out.CO2Decimals, out.O2Decimals)
	}
	for _, d := range []*int8{&out.CO2Decimals, &out.O2Decimals} {
		if *d >= 0 {
			*d++
		}
	}
	return &out
}

// Band is an allowance about a target in points of CO2: Lean <= 0 <= Rich. A
// side nobody declared is NaN.
type Band struct{ Lean, Rich float64 }

// Setting returns the setting band of a target, what a technician must leave,
// in points of CO2. A band about an O2 target is turned by the fuel's CO2max.
func (r *Config) Setting(t *Target, fuel string) Band {
	return r.band(t, fuel, t.SetRich, t.SetLean)
}

// Action returns the action band of a target, what justifies an early visit,
// in points of CO2, and whether a side of it was made from the setting band
// because none is declared.
func (r *Config) Action(t *Target, fuel string) (band Band, made bool) {
	rich, lean := t.ActRich, t.ActLean
	if math.IsNaN(rich) {
		rich, made = r.SetBandsToActBand*t.SetRich, true
	}
	if math.IsNaN(lean) {
		lean, made = r.SetBandsToActBand*t.SetLean, true
	}
	return r.band(t, fuel, rich, lean), made
}

// band turns the sides of a band into points of CO2.
func (r *Config) band(t *Target, fuel string, rich, lean float64) Band {
	if !t.Declared() {
		return Band{math.NaN(), math.NaN()}
	}
	factor := 1.0
	if math.IsNaN(t.CO2Percent) {
		factor = r.Fuels[fuel].CO2PerO2()
	}
	return Band{Lean: -lean * factor, Rich: rich * factor}
}

// Scaled returns the band with both sides multiplied.
func (b Band) Scaled(factor float64) Band { return Band{b.Lean * factor, b.Rich * factor} }

// Side says where a deviation lies about a band.
type Side uint8

// Sides of a band.
const (
	Unknown Side = iota // no value, no target, or that side is not declared
	Within              // on the edge is within
	Rich                // more CO2 than the band allows: less air
	Lean                // less CO2 than the band allows: more air
)

// String returns the side in words.
func (s Side) String() string {
	return [...]string{"unknown", "within", "rich", "lean"}[s]
}

// Side returns where a deviation in points of CO2 lies.
func (b Band) Side(deviation float64) Side {
	switch {
	case deviation > b.Rich+edge:
		return Rich
	case deviation < b.Lean-edge:
		return Lean
	case deviation >= 0 && b.Rich >= 0, deviation <= 0 && b.Lean <= 0:
		return Within
	}
	return Unknown
}

// CO is the carbon monoxide of a reading free of excess air.
type CO struct {
	AirFreePPM float64 // NaN: not known
	Limit      string  // Above: at least this much; Below: at most; "": this much
	Assumed    bool    // the basis was not recorded and was assumed
	AnyFuel    bool    // made air-free by the highest CO2max of all fuels: no less than it is
}

// COAirFree returns the CO of a reading free of excess air, by its basis. CO
// recorded below or above a limit stays so. Where CO as measured comes
// without a usable O2 or CO2 the recorded number is returned as a lower limit,
// because air-free CO is never less than measured; a number that is itself an
// upper limit then says nothing.
//
// By O2 no fuel is needed. CO2 alone needs one: where the reading's is not known
// or not declared the highest CO2max of all that are configured stands in, so
// that a lost register row never makes a CO lower.
func (r *Config) COAirFree(x *Reading) CO {
	none := CO{AirFreePPM: math.NaN()}
	if !(x.COPPM >= 0) {
		return none
	}
	co := CO{Limit: x.COLimit}
	basis := x.COBasis
	if basis != AsMeasured && basis != AirFree && basis != AtReference {
		basis, co.Assumed = r.AssumedCOBasis, true
	}
	fuel, known := r.Fuels[x.Fuel], true
	if !fuel.Declared() {
		fuel, known = r.highestFuel(), false
	}
	if fuel.Air == 0 {
		fuel.Air = combustion.AirO2Field
	}
	switch basis {
	case AirFree:
		co.AirFreePPM = x.COPPM
		return co
	case AtReference:
		co.AirFreePPM = airFreeFromReference(x.COPPM, x.COReferenceO2Percent, fuel.Air)
	default:
		co.AirFreePPM = combustion.COAtO2(x.COPPM, x.O2Percent, 0, fuel.Air)
		if math.IsNaN(co.AirFreePPM) {
			co.AirFreePPM = fuel.COAirFreeFromCO2(x.COPPM, x.CO2Percent)
			co.AnyFuel = !known && !math.IsNaN(co.AirFreePPM)
		}
	}
	if !math.IsNaN(co.AirFreePPM) {
		return co
	}
	if co.Limit == Below {
		return none
	}
	co.AirFreePPM, co.Limit = x.COPPM, Above
	return co
}

// airFreeFromReference undoes the dilution to a reference O2.
func airFreeFromReference(coPPM, referencePercent float64, air combustion.AirO2) float64 {
	return combustion.COAtO2(coPPM, referencePercent, 0, air)
}

// UrgentAtLow reports whether a reading at low fire is rich of its setting band by
// more than half of its last digit, with CO air-free above a level for attention: less
// air than it was set to and a flame that shows it, urgent whatever the level for
// urgency.
func (r *Config) UrgentAtLow(x *Reading, attentionPPM float64) bool {
	rich := r.Setting(&x.Target, x.Fuel).Side(r.surely(x)) == Rich
	return x.Fire == Low && rich && r.COAirFree(x).AirFreePPM > attentionPPM
}
