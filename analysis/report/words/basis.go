package words

import (
	"fmt"
	"strings"

	"fluedrift/analysis/estimate"
	"fluedrift/model/drift"
)

// Basis says in a sentence or two what the chances of a fleet rest on.
func Basis(b estimate.Basis) []string {
	compared := fmt.Sprintf("%s of readings", Counted(b.Pairs, "pair"))
	where := pairsByFire(b.Fires)
	switch b.Kind {
	case estimate.NoChances:
		return []string{"No chance of being out of limits is given: no fire has both a target and a reading to compare with it."}
	case estimate.DriftInNoise:
		return []string{fmt.Sprintf("Drift could not be measured here: %s can be compared%s, but they do not separate drift from the "+
			"noise of a reading. The chances rest on general assumptions and on %s.", compared, where, howFound(b.Found))}
	case estimate.TooFewPairs:
		return []string{fmt.Sprintf("Drift could not be measured here: %s can be compared%s, and %d at a fire are needed. The "+
			"chances rest on general assumptions and on %s.", compared, where, drift.MinFit, howFound(b.Found))}
	case estimate.FewPairs:
		return []string{fmt.Sprintf("Drift was measured on %s%s; below %d at a fire the chances also rest on general "+
			"assumptions and on %s.",
			compared, where, drift.MinFree, howFound(b.Found))}
	case estimate.LittleTold:
		return []string{fmt.Sprintf("Drift was measured on %s%s, which say little about it: the chances also rest on general "+
			"assumptions and on %s.", compared, where, howFound(b.Found))}
	}
	return []string{fmt.Sprintf("Drift was measured on %s%s.", compared, where)}
}

// pairsByFire says in brackets how many pairs each fire has.
func pairsByFire(fires []estimate.FirePairs) string {
	var pairs []string
	for _, f := range fires {
		pairs = append(pairs, fmt.Sprintf("%d at %s fire", f.Pairs, f.Fire))
	}
	if len(pairs) == 0 {
		return ""
	}
	return " (" + strings.Join(pairs, ", ") + ")"
}

// howFound says what is known of how burners are found.
func howFound(readings int) string {
	if readings < 2 {
		return "what burners are usually found at"
	}
	return fmt.Sprintf("the %d as-found readings of this fleet", readings)
}
