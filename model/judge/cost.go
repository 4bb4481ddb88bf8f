package judge

import (
	"math"

	"fluedrift/model/combustion"
)

// Estimate is a number with what it may lie between.
type Estimate struct{ Value, Low, High float64 }

// unknown is the estimate of nothing.
func unknown() Estimate { return Estimate{math.NaN(), math.NaN(), math.NaN()} }

// stretch widens the estimate to hold a value.
func (e *Estimate) stretch(v float64) { e.Low, e.High = math.Min(e.Low, v), math.Max(e.High, v) }

// Cost is what a lean reading costs against its target.
type Cost struct {
	LossPoints  Estimate // flue loss above that at target, points of gross input
	FuelPercent Estimate // fuel above that at target, for the same heat
	Method      CostMethod
	NoCost      NoCost // why nothing was computed
}

// CostMethod is how a cost was computed. Its limits cover AnalyzerO2Limit and
// costTempLimitK of the instrument.
type CostMethod uint8

// Methods of a cost.
const (
	NotComputed     CostMethod = iota
	IndirectBalance            // with latent heat, as if the flue were as warm on target
	WithOrdinance              // the same, and the limits cover the two-constant formula of 1. BImSchV
)

// NoCost is why a reading has no cost.
type NoCost uint8

// Why a reading has no cost.
const (
	HasCost          NoCost = iota
	NothingToCompare        // no target, or no CO2 or O2
	RichOfTarget            // less air loses less heat and is no saving: CO and a lack of air come with it
	OnTarget
	TemperaturesMissing // of flue or air
	FlueHardlyWarm      // hardly warmer than the air: temperatures in doubt
	NoBalance           // no balance can be made of the fuel's composition
	OutsideComposition  // CO2 or target outside what the fuel's composition can give
)

// AnalyzerO2Limit is the error limit of an analyzer in points of O2, as a Swiss
// metrology instruction of 2004 has it (read in quotation). CO2 is usually
// computed from O2, so the limit is turned into CO2.
const AnalyzerO2Limit = 0.4

// costTempLimitK is how far flue less air temperature may be off (common
// practice, no source).
const costTempLimitK = 5

// Losses says what readings of a unit cost, from the composition of its fuel and the
// pressure of its place.
type Losses struct {
	Rules      *Config
	Gas        combustion.Gas
	PressurePa float64
}

// OfLean returns what a reading on the lean side of its target costs. The centre
// is the indirect balance; the limits are the extremes over the errors above
// and, where the flue is above its dew point, the ordinance's formula too. They
// are limits of error and no confidence interval. What setting the burner
// would do to the flue temperature is not known and left out.
//
// A rich reading has no cost and no saving. Nothing is computed without a
// target, CO2 or O2, and both temperatures.
func (l Losses) OfLean(x *Reading) Cost {
	r := l.Rules
	none := Cost{LossPoints: unknown(), FuelPercent: unknown(), NoCost: l.none(x)}
	if none.NoCost != HasCost {
		return none
	}
	b := costing{fuel: x.Fuel, flueC: x.FlueTempC, airC: x.AirTempC, pressurePa: l.PressurePa, target: r.TargetCO2(&x.Target, x.Fuel)}
	var err error
	if b.burn, err = l.Gas.Burn(r.Fuels[x.Fuel].Air); err == nil {
		b.heat, err = l.Gas.Heating()
	}
	if err != nil {
		none.NoCost = NoBalance
		return none
	}
	read := b.target + r.Deviation(x)
	c := b.cost(read, AnalyzerO2Limit*r.Fuels[x.Fuel].CO2PerO2())
	if math.IsNaN(c.LossPoints.Low + c.LossPoints.High) {
		none.NoCost = OutsideComposition
		return none
	}
	return c
}

// none returns why a reading has no cost.
func (l Losses) none(x *Reading) NoCost {
	switch d := l.Rules.Deviation(x); {
	case math.IsNaN(d):
		return NothingToCompare
	case d > hair:
		return RichOfTarget
	case d > -hair:
		return OnTarget
	case math.IsNaN(x.FlueTempC) || math.IsNaN(x.AirTempC):
		return TemperaturesMissing
	case x.FlueTempC <= x.AirTempC+costTempLimitK:
		return FlueHardlyWarm
	}
	return HasCost
}

// costing is one reading's losses in the making.
type costing struct {
	fuel                    string
	burn                    combustion.Stoichiometry
	heat                    combustion.Heating
	flueC, airC, pressurePa float64
	target                  float64 // CO2
}

// cost puts centre and limits together.
func (b *costing) cost(read, co2Limit float64) Cost {
	points, fuel := b.indirect(read, b.flueC)
	c := Cost{LossPoints: Estimate{points, points, points}, FuelPercent: Estimate{fuel, fuel, fuel}, Method: IndirectBalance}
	constants, err := combustion.OrdinanceConstants(combustion.OrdinanceClass(b.fuel))
	ordinance := err == nil && b.dry()
	if ordinance {
		c.Method = WithOrdinance
	}
	most := math.Min(read+co2Limit, b.burn.CO2MaxPercent()) // an error cannot make more than the fuel gives
	for _, co2 := range []float64{read - co2Limit, read, most} {
		for _, flueC := range []float64{b.flueC - costTempLimitK, b.flueC, b.flueC + costTempLimitK} {
			points, fuel := b.indirect(co2, flueC)
			c.LossPoints.stretch(points)
			c.FuelPercent.stretch(fuel)
			if ordinance {
				points, fuel = b.byOrdinance(constants, co2, flueC)
				c.LossPoints.stretch(points)
				c.FuelPercent.stretch(fuel)
			}
		}
	}
	return c
}

// dry reports whether the flue stays above the dew point of the target, the
// higher of the two, by more than the error of its temperature.
func (b *costing) dry() bool {
	dew := b.burn.FlueGasAt(b.burn.LambdaFromCO2(b.target)).DewPointC(b.pressurePa)
	return b.flueC-costTempLimitK > dew
}

// indirect returns the change of loss, points of gross input, and of fuel, %,
// from target to a CO2 by the indirect balance.
func (b *costing) indirect(co2, flueC float64) (points, fuel float64) {
	loss := func(co2 float64) float64 {
		g := b.burn.FlueGasAt(b.burn.LambdaFromCO2(co2))
		return g.IndirectLoss(b.heat, flueC, b.airC, b.pressurePa).TotalPercent
	}
	read, target := loss(co2), loss(b.target)
	return read - target, moreFuel(read, target)
}

// byOrdinance returns the same by the ordinance's formula, which is in percent
// of net input.
func (b *costing) byOrdinance(k combustion.FlueConstants, co2, flueC float64) (points, fuel float64) {
	loss := func(co2 float64) float64 {
		return k.LossPercent(flueC, b.airC, b.burn.O2FromLambda(b.burn.LambdaFromCO2(co2)))
	}
	read, target := loss(co2), loss(b.target)
	return (read - target) / b.heat.GrossPerNet(), moreFuel(read, target)
}

// moreFuel returns by how many percent more fuel gives the same heat at one
// loss than at another, both in percent of input.
func moreFuel(loss, against float64) float64 { return 100 * ((100-against)/(100-loss) - 1) }
