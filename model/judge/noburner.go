package judge

import (
	"math"

	"fluedrift/model/combustion"
)

// dryPerAir is the dry flue gas over the air of complete combustion: 0.895 for
// methane, 0.897 for pipeline gas, 0.916 for propane (exact arithmetic on their
// formulas). Within that spread the limit on lambda moves by 0.03 points of CO2.
const dryPerAir = 0.9

// NoBurner reports whether a reading shows no burner at work: CO2 under
// NoBurnerCO2Percent, O2 over NoBurnerO2Percent, or so little CO2 that the air
// exceeds NoBurnerLambda times what the fuel needs,
//
//	lambda = 1 + dryPerAir (CO2max/CO2 - 1)
//
// (model/combustion, LambdaFromCO2). One of the three is enough: such a sample is
// room air, or a number is wrong, and neither says anything of a burner. A
// reading with neither gas is not judged.
func (r *Config) NoBurner(x *Reading) bool {
	if r.NoBurnerO2Percent > 0 && x.O2Percent > r.NoBurnerO2Percent+hair {
		return true
	}
	return x.CO2Percent < r.leastCO2(x.Fuel)-hair
}

// PerhapsNoBurner reports whether a reading shows no burner at work, or would on
// some configured fuel where its own is not known.
func (r *Config) PerhapsNoBurner(x *Reading) bool {
	return r.NoBurner(x) || !r.Fuels[x.Fuel].Declared() && x.CO2Percent < r.leastOf(r.highestFuel())-hair
}

// leastCO2 is the CO2 below which no burner is at work on a fuel.
func (r *Config) leastCO2(fuel string) float64 { return r.leastOf(r.Fuels[fuel]) }

func (r *Config) leastOf(f combustion.Fuel) float64 {
	least := r.NoBurnerCO2Percent
	if f.Declared() && r.NoBurnerLambda > 1 {
		least = math.Max(least, f.CO2MaxPercent/(1+(r.NoBurnerLambda-1)/dryPerAir))
	}
	return least
}

// noBurner leaves out what was read without a burner at work, and says so where
// it was not taken while setting. Nothing else is judged by such a reading.
func (c *checker) noBurner() {
	for i := range c.h.Readings {
		x := &c.h.Readings[i]
		if !c.r.NoBurner(x) {
			continue
		}
		c.lower(i, LeftOut)
		if c.idle == nil {
			c.idle = map[int]bool{}
		}
		c.idle[i] = true
		if x.Condition == Between {
			continue
		}
		c.findings = append(c.findings, Finding{Kind: NoBurner, Fire: x.Fire, Readings: []int{i}, Open: c.newestAt(i)})
	}
}

// newestAt reports whether a reading is the newest of its fire with a gas or CO,
// values taken between apart.
func (c *checker) newestAt(i int) bool {
	x := &c.h.Readings[i]
	for k := i + 1; k < len(c.h.Readings); k++ {
		y := &c.h.Readings[k]
		sameFire := y.Fire == x.Fire && (x.Fire != Point || same(x.RatePercent, y.RatePercent))
		if sameFire && y.Condition != Between && !(math.IsNaN(y.CO2Percent) && math.IsNaN(y.O2Percent) && math.IsNaN(y.COPPM)) {
			return false
		}
	}
	return true
}
