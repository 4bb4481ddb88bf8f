package combustion

import "fmt"

// biogas returns methane and carbon dioxide, the methane in percent by volume.
func biogas(methanePercent float64) (Gas, error) {
	inert := Gas{Name: "carbon dioxide", Parts: []Part{{"carbon dioxide", 100}}}
	return blend("biogas", inert, Methane, methanePercent)
}

// propaneButane returns a mixture of the two, the propane in percent by volume
// of the vapour.
func propaneButane(propanePercent float64) (Gas, error) {
	return blend("propane-butane", Butane, Propane, propanePercent)
}

// Gases returns compositions by fuel name: the typical ones, with the given
// compositions (percent by mole of each molecule) in their place or beside
// them. A composition that cannot be read or does not burn is an error naming
// the fuel.
//
// Typical means: natural gas as PipelineGas, a propane-butane mixture half and
// half, biogas with 60 % methane (common practice, no source).
func Gases(compositions map[string]map[string]float64) (map[string]Gas, error) {
	gases := map[string]Gas{"natural gas": PipelineGas, "methane": Methane, "propane": Propane, "butane": Butane}
	var err error
	if gases["propane-butane"], err = propaneButane(50); err != nil {
		return nil, err
	}
	if gases["biogas"], err = biogas(60); err != nil {
		return nil, err
	}
	for _, name := range sortedNames(compositions) {
		g := Gas{Name: name}
		for _, s := range sortedNames(compositions[name]) {
			g.Parts = append(g.Parts, Part{s, compositions[name][s]})
		}
		if _, err := g.Burn(AirO2Physical); err != nil {
			return nil, fmt.Errorf("fuel %q: %w", name, err)
		}
		gases[name] = g
	}
	return gases, nil
}
