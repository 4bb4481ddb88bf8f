package combustion

import (
	"fmt"
	"math"
	"strings"
)

// Part is the share of one molecule in a fuel gas, in percent by mole.
type Part struct {
	Species string
	Percent float64
}

// Gas is a fuel gas as a composition. The parts need not add up to 100: they
// are taken in proportion.
type Gas struct {
	Name  string
	Parts []Part
}

// The gases the trade meets.
var (
	Methane = Gas{"methane", []Part{{"methane", 100}}}
	Ethane  = Gas{"ethane", []Part{{"ethane", 100}}}
	Propane = Gas{"propane", []Part{{"propane", 100}}}
	Butane  = Gas{"butane", []Part{{"butane", 100}}}
	// PipelineGas is the "Gulf Coast" composition of AGA Report No. 8 (read in
	// transcription), a typical natural gas.
	PipelineGas = Gas{"pipeline gas", []Part{
		{"methane", 96.5222},
		{"nitrogen", 0.2595},
		{"carbon dioxide", 0.5956},
		{"ethane", 1.8186},
		{"propane", 0.4596},
		{"isobutane", 0.0977},
		{"butane", 0.1007},
		{"isopentane", 0.0473},
		{"pentane", 0.0324},
		{"hexane", 0.0664},
	}}
)

// blend returns a gas of which the given percentage is b and the rest a, by
// volume. An error for a percentage outside 0 to 100, or a gas without parts.
func blend(name string, a, b Gas, percentB float64) (Gas, error) {
	if !inRange(percentB, 0, 100) {
		return Gas{}, fmt.Errorf("gas %q: share %g %% is outside 0 to 100 %%", name, percentB)
	}
	sumA, sumB := a.total(), b.total()
	if !(sumA > 0) || !(sumB > 0) {
		return Gas{}, fmt.Errorf("gas %q: %q or %q has no parts", name, a.Name, b.Name)
	}
	g := Gas{Name: name}
	for _, p := range a.Parts {
		g.Parts = append(g.Parts, Part{p.Species, p.Percent * (100 - percentB) / sumA})
	}
	for _, p := range b.Parts {
		g.Parts = append(g.Parts, Part{p.Species, p.Percent * percentB / sumB})
	}
	return g, nil
}

// total returns the sum of the parts.
func (g Gas) total() float64 {
	sum := 0.0
	for _, p := range g.Parts {
		sum += p.Percent
	}
	return sum
}

// Atoms returns the mean molecule of the gas. An error for an unknown
// molecule, a negative or unreadable share, or a gas without parts.
func (g Gas) Atoms() (Atoms, error) {
	var m Atoms
	err := g.each(func(x float64, s molecule) {
		m.C += x * s.C
		m.H += x * s.H
		m.O += x * s.O
		m.N += x * s.N
	})
	return m, err
}

// each calls fn with every part's share in mol per mol and its molecule.
func (g Gas) each(fn func(share float64, s molecule)) error {
	total := g.total()
	if !(total > 0) || math.IsInf(total, 0) {
		return fmt.Errorf("gas %q: its parts add up to %g %%: give percent by mole", g.Name, total)
	}
	for _, p := range g.Parts {
		s, ok := molecules[p.Species]
		if !ok {
			return fmt.Errorf("gas %q: no molecule is called %q\nwrite one of %s", g.Name, p.Species, strings.Join(sortedNames(molecules), ", "))
		}
		if p.Percent < 0 {
			return fmt.Errorf("gas %q: share of %q is %g %%: give 0 or more", g.Name, p.Species, p.Percent)
		}
		fn(p.Percent/total, s)
	}
	return nil
}
