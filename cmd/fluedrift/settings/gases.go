package settings

import (
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
