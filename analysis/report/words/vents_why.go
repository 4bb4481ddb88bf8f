package words

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"fluedrift/analysis/study"
)

// Tally is how often something was counted.
type Tally struct {
	What string
	N    int
}

// LeftOut are the pairs of readings that make no row, by why, in the order of words.
func LeftOut(f *study.Flow) []Tally {
	return tallies(f.LeftOut, []string{
		study.AsLeftGone: "as-left reading not recorded", study.FoundTwice: "as-found reading recorded twice, none known to be the first",
		study.MovedBetween: "moved to another place in between", study.OtherFuel: "another fuel, or fuel questionable",
		study.VentUnknown: "vent not known on the day", study.LengthTyped: "vent length probably a default of the form",
		study.OutOfTime: fmt.Sprintf("same day, or more than %d years apart", study.MostYears),
	})
}

// NotFitted are the rows that no fit takes, by what they lack, in the order of words.
func NotFitted(f *study.Flow) []Tally {
	return tallies(f.NotFitted, []string{
		study.NoMeasure: "length, elbows or longest run not known", study.NoAir: "combustion air not recorded",
		study.NoInstallDay: "day of installation not known",
	})
}

func tallies[K ~uint8](counts map[K]int, words []string) (all []Tally) {
	for k, n := range counts {
		all = append(all, Tally{words[k], n})
	}
	slices.SortFunc(all, func(a, b Tally) int { return cmp.Compare(a.What, b.What) })
	return all
}

// HowDeclared says how the declared comparison came to be; "" of a study not made.
func HowDeclared(c study.Chosen) string {
	switch c := c.(type) {
	case study.InConfiguration:
		return "declared in the configuration"
	case study.GreatestPower:
		return fmt.Sprintf("of the comparisons with %d rows and %d sites or more the one with the narrowest expected interval%s; "+
			"chosen by vents, air and times alone, before any reading", c.Rows, c.Sites, wider(c.Of))
	case study.NoneEnough:
		return fmt.Sprintf("drift of all units, since no burner control has %d rows and %d sites", c.Rows, c.Sites)
	}
	return ""
}

// wider says how much wider the intervals of the comparisons not chosen promise to be.
func wider(all []study.Candidate) string {
	var b strings.Builder
	for i, c := range all[1:] {
		b.WriteString([]string{" (", ", "}[min(i, 1)])
		fmt.Fprintf(&b, "%s at %s %.1f times as wide", c.Kind, c.Control, c.Width)
	}
	if b.Len() > 0 {
		b.WriteString(")")
	}
	return b.String()
}

// Lack says why a figure was not made, or what a fit was made without; "" where
// nothing is lacking.
func Lack(l study.Lack) string {
	switch l := l.(type) {
	case study.Failed:
		return l.Err.Error()
	case study.TooFew:
		return fmt.Sprintf("%s, %d needed", Counted(l.Rows, "row"), l.Needed)
	case study.RareControls:
		return fmt.Sprintf("made without %d rows of burner controls that are too rare", l.Rows)
	case study.Repeats:
		return fmt.Sprintf("column %q repeats others and is left out", l.Column)
	case study.ErrorsUnknown:
		return "the size of errors in lengths is not known: no repeated registers, none declared"
	case study.NoSimulations:
		return "not asked for"
	case study.NoPrinciples:
		return "first principles give no answer for this control"
	}
	return ""
}

// LengthsFrom says where the size of errors in lengths comes from.
func LengthsFrom(e study.ErrorsFrom) string {
	return [...]string{
		study.NotKnown: "not known", study.FromRepeats: "repeated registers that differ without an alteration",
		study.FromDeclared: "declared in the configuration",
	}[e]
}

// PhysicsBasis says what a prediction follows from.
func PhysicsBasis(b study.Basis) string {
	return [...]string{
		study.NoBasis: "",
		study.FixedFan: "a fan at constant speed with flat pressure against the whole air and flue path: air flow goes with one over " +
			"the root of its resistance; the vent's share of the fan's pressure is added to that path, gas stays as set",
		study.HeldByControl:      "the control holds gas to air (or O2 itself), so resistance changes input and not CO2, to first order",
		study.ConstantResistance: "constant resistance changes nothing with time",
	}[b]
}

// Group says what a sensitivity makes otherwise.
func Group(g study.Group) string {
	return [...]string{
		study.GroupDeclared: "as declared", study.GroupControls: "burner controls", study.GroupRows: "rows", study.GroupColumns: "columns",
		study.GroupMeasure:  "measure of the vent",
		study.GroupFittings: "resistance of fittings", study.GroupSites: "sites", study.GroupSource: "one source alone",
		study.GroupFuel: "one fuel alone", study.GroupAnalyzers: "one analyzer left out", study.GroupAreas: "one area left out",
	}[g]
}

// Choice says which of its group a sensitivity makes.
func Choice(c study.Choice) string {
	switch c.Kind {
	case study.AsDeclared:
		return "by length, within the burner control"
	case study.EveryControl:
		return "all burner controls together"
	case study.KeepsRemoved:
		return "readings that the judgement leaves out are kept"
	case study.NoCallOuts:
		return "call-outs left out"
	case study.NoFarRows:
		return fmt.Sprintf("rows off the fit by more than %d standard deviations left out", study.FarOff)
	case study.OnRowsOfBoth:
		return c.Of + ", on the rows that have both"
	case study.LeastFittings:
		return "lowest, " + c.Of
	case study.MostFittings:
		return "highest, " + c.Of
	case study.OwnBySite:
		return "level and slope of its own for each site, normal (REML)"
	}
	return c.Of
}

// SlopeNote says why a sensitivity has no slope, or how its errors are made where that
// is otherwise too.
func SlopeNote(s *study.Sensitivity, of *study.Slope) string {
	switch {
	case of.NotMade != nil:
		return Lack(of.NotMade)
	case s.Mixed:
		return "errors of the mixed model; degrees of freedom those of CR2"
	}
	return ""
}
