package judge

// Words for whether a burner was adjusted.
const (
	Yes = "yes"
	No  = "no"
)

// Adjusted returns what a visit records about adjustment at a fire: Yes, No,
// or "" where it says nothing. A unit with one fire has one answer, whichever
// of the two places it stands in.
func (v *Visit) Adjusted(fire Fire) string {
	switch {
	case fire == High:
		return v.AdjustedHigh
	case fire == Low:
		return v.AdjustedLow
	case v.AdjustedHigh == Yes || v.AdjustedLow == Yes:
		return Yes
	case v.AdjustedHigh == No || v.AdjustedLow == No:
		return No
	}
	return ""
}
