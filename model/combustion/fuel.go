package combustion

import (
	"fmt"
	"math"
	"sort"
)

// Fuel is a fuel as records know it: a name, and the highest CO2 its dry flue
// gas can show under a stated convention for air. The straight line
//
//	CO2/CO2max + O2/air = 1        (lambda >= 1, dry, CO negligible)
//
// is exact for any fuel without free oxygen, nitrogen and CO2 of the fuel gas
// included, and stays true when the sample is diluted with air.
type Fuel struct {
	Name          string
	CO2MaxPercent float64
	Air           AirO2
}

// Declared reports whether the fuel has a usable CO2max. The zero Fuel has
// not, and every conversion with it gives NaN.
func (f Fuel) Declared() bool {
	return f.CO2MaxPercent > 0 && f.CO2MaxPercent < 100 && f.Air.check() == nil
}

// CO2FromO2 returns the CO2 that goes with an O2 reading, in percent.
// NaN outside 0 <= O2 <= air, or where the fuel is not declared.
func (f Fuel) CO2FromO2(o2Percent float64) float64 {
	if !f.Declared() || !inRange(o2Percent, 0, float64(f.Air)) {
		return math.NaN()
	}
	return f.CO2MaxPercent * (1 - o2Percent/float64(f.Air))
}

// O2FromCO2 returns the O2 that goes with a CO2 reading, in percent.
// NaN outside 0 <= CO2 <= CO2max, or where the fuel is not declared.
func (f Fuel) O2FromCO2(co2Percent float64) float64 {
	if !f.Declared() || !inRange(co2Percent, 0, f.CO2MaxPercent) {
		return math.NaN()
	}
	return float64(f.Air) * (1 - co2Percent/f.CO2MaxPercent)
}

// CO2PerO2 returns by how many points CO2 falls when O2 rises by one: the
// factor that turns a width in O2 into one in CO2.
func (f Fuel) CO2PerO2() float64 {
	if !f.Declared() {
		return math.NaN()
	}
	return f.CO2MaxPercent / float64(f.Air)
}

// COAirFree returns CO free of excess air from CO as measured and either gas:
// by O2 where it is recorded and below the air's, else by CO2 where it is
// recorded and does not exceed CO2max. NaN without either. Where both are
// recorded O2 decides, because that is the gas most analyzers measure.
func (f Fuel) COAirFree(coPPM, co2Percent, o2Percent float64) float64 {
	if v := COAtO2(coPPM, o2Percent, 0, f.Air); !math.IsNaN(v) {
		return v
	}
	return f.COAirFreeFromCO2(coPPM, co2Percent)
}

// COAirFreeFromCO2 returns CO x CO2max/CO2. NaN outside 0 < CO2 <= CO2max, for
// a negative CO, or where the fuel is not declared.
func (f Fuel) COAirFreeFromCO2(coPPM, co2Percent float64) float64 {
	if !f.Declared() || !(coPPM >= 0) || !(co2Percent > 0 && co2Percent <= f.CO2MaxPercent) {
		return math.NaN()
	}
	return coPPM * f.CO2MaxPercent / co2Percent
}

// defaultCO2Max is what field practice takes for CO2max: common practice, no
// source. The mixture stands between its parts. A configuration replaces any
// of them.
var defaultCO2Max = map[string]float64{
	"natural gas":    11.8,
	"propane":        13.7,
	"butane":         14.0,
	"propane-butane": 13.8,
}

// Fuels returns the declared fuels by name under one convention for air: the
// defaults of common practice, with the given CO2max (percent) in their place
// or beside them. An unusable CO2max or convention is an error.
func Fuels(co2MaxPercent map[string]float64, air AirO2) (map[string]Fuel, error) {
	if err := air.check(); err != nil {
		return nil, err
	}
	fuels := make(map[string]Fuel, len(defaultCO2Max)+len(co2MaxPercent))
	for name, v := range defaultCO2Max {
		fuels[name] = Fuel{name, v, air}
	}
	for _, name := range sortedNames(co2MaxPercent) {
		v := co2MaxPercent[name]
		if !inRange(v, 5, 40) {
			return nil, fmt.Errorf("fuel %q: CO2max %g %% is outside 5 to 40 %%: give percent by volume of dry flue gas", name, v)
		}
		fuels[name] = Fuel{name, v, air}
	}
	return fuels, nil
}

// sortedNames returns the keys in order, so that of several faults the same
// one is reported every time.
func sortedNames[V any](m map[string]V) []string {
	names := make([]string, 0, len(m))
	for name := range m {
		names = append(names, name)
	}
	sort.Strings(names)
	return names
}
