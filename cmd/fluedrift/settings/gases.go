package settings

import (
	"fmt"
	"maps"
	"slices"

	"github.com/BurntSushi/toml"

	"fluedrift/model/combustion"
)

// Gases are the compositions of [gases."name"]: percent by mole of each
// molecule, by fuel. They need not add up to 100: they are taken in proportion.
type Gases map[string]map[string]float64

// check returns what cannot be read or does not burn, and the key it stands
// under.
func (g Gases) check() (toml.Key, error) {
	for _, name := range slices.Sorted(maps.Keys(g)) {
		for _, part := range slices.Sorted(maps.Keys(g[name])) {
			one := combustion.Gas{Name: name, Parts: []combustion.Part{
				{Species: "methane", Percent: 1},
				{Species: part, Percent: g[name][part]},
			}}
			if _, err := one.Atoms(); err != nil {
				return toml.Key{"gases", name, part}, err
			}
		}
		if _, err := combustion.Gases(Gases{name: g[name]}); err != nil {
			return toml.Key{"gases", name}, err
		}
	}
	return nil, nil
}

// Burnable returns the compositions and the fuels of the configuration. A CO2max
// that limits.co2max_percent gives goes before the one a composition has.
func (c *Config) Burnable() (map[string]combustion.Gas, map[string]combustion.Fuel, error) {
	gases, err := combustion.Gases(c.Gases)
	if err != nil {
		return nil, nil, fmt.Errorf("gases: %w", err)
	}
	air, co2Max := combustion.AirO2(c.Limits.AirO2), map[string]float64{}
	for name := range c.Gases {
		burnt, err := gases[name].Burn(air)
		if err != nil {
			return nil, nil, fmt.Errorf("gases: %w", err)
		}
		co2Max[name] = burnt.CO2MaxPercent()
	}
	maps.Copy(co2Max, c.Limits.CO2Max)
	fuels, err := combustion.Fuels(co2Max, air)
	if err != nil {
		return nil, nil, fmt.Errorf("limits: %w", err)
	}
	return gases, fuels, nil
}
