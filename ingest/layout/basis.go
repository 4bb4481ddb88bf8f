package layout

import (
	"maps"
	"slices"
	"strings"

	"fluedrift/ingest/parse"
)

// airFreeUnit measures CO by what was burnt, not by the flue gas.
const airFreeUnit = "mg/kWh"

func checkBasis(c *Column) error {
	if c.Of.Kind != CO {
		if c.Basis != "" || c.ReferenceO2 != 0 || c.BasisFrom != "" || c.BasisCodes != nil {
			return c.fault("basis, basis_from, basis_codes and reference_o2 are for CO")
		}
		return nil
	}
	if c.BasisFrom != "" || c.BasisCodes != nil {
		return checkBasisCodes(c)
	}
	if c.Basis == "" {
		c.Basis = "unknown"
	}
	if !slices.Contains(bases, c.Basis) {
		return c.fault("basis %q is not one of %s", c.Basis, strings.Join(bases, ", "))
	}
	if c.Unit == airFreeUnit && c.Basis != "air-free" {
		return c.fault("%s is CO per heat, whatever the excess air: write basis = \"air-free\"", airFreeUnit)
	}
	if (c.Basis == "reference") != (c.ReferenceO2 > 0 && c.ReferenceO2 < 20) {
		return c.fault("basis reference and a reference_o2 between 0 and 20 %% belong together")
	}
	return nil
}

// checkBasisCodes compiles the bases that another column tells.
func checkBasisCodes(c *Column) error {
	switch {
	case c.BasisFrom == "" || len(c.BasisCodes) == 0:
		return c.fault("basis_from and basis_codes belong together: the column, and what its texts mean\n" +
			"add basis_from = \"COLUMN\" and basis_codes = { \"TEXT\" = \"air-free\" }")
	case c.Basis != "" && c.Basis != "unknown":
		return c.fault("basis_from says the basis of each cell: take basis away")
	case slices.ContainsFunc(c.Headers, func(h string) bool { return parse.Fold(h) == parse.Fold(c.BasisFrom) }):
		return c.fault("basis_from %q is the column itself: cut its cells in two by a step separate, and name the column it makes", c.BasisFrom)
	}
	c.Basis, c.Bases = "unknown", map[string]string{}
	reference := false
	for _, text := range slices.Sorted(maps.Keys(c.BasisCodes)) {
		basis, folded := c.BasisCodes[text], parse.Fold(text)
		if !slices.Contains(bases, basis) {
			return c.fault("basis code %q means %q, which is not one of %s", text, basis, strings.Join(bases, ", "))
		}
		if other, ok := c.Bases[folded]; ok && other != basis {
			return c.fault("basis code %q means both %q and %q", text, other, basis)
		}
		c.Bases[folded] = basis
		reference = reference || basis == "reference"
	}
	if c.Unit == airFreeUnit {
		return c.fault("%s is CO per heat, whatever the excess air: write basis = \"air-free\" and no basis_from", airFreeUnit)
	}
	if reference != (c.ReferenceO2 > 0 && c.ReferenceO2 < 20) {
		return c.fault("basis reference and a reference_o2 between 0 and 20 %% belong together")
	}
	return nil
}

// BasisIn is the basis of CO that a text of basis_from says of a column: unknown where it
// is blank or known is false.
func BasisIn(c *Column, text string) (basis string, known bool) {
	basis, known = c.Bases[parse.Fold(text)]
	if !known {
		return "unknown", parse.Fold(text) == ""
	}
	return basis, true
}

// DeclaredBasis names the basis of a column, or all that its cells may have.
func DeclaredBasis(c *Column) string {
	if c.BasisFrom == "" {
		return c.Basis
	}
	return strings.Join(slices.Compact(slices.Sorted(maps.Values(c.Bases))), " or ")
}
