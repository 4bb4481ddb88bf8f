package judge

import "math"

// FactoryTest is the reason of a visit that took place before the unit was at
// its site.
const FactoryTest = "factory test"

// Words for whether a burner was adjusted.
const (
	Yes = "yes"
	No  = "no"
)

// Adjusted returns what a visit records about adjustment at a fire: Yes, No,
// or "" where it says nothing. A unit with one fire has one answer, whichever
// of the two places it stands in.
func (v *Visit) Adjusted(fire string) string {
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

// Fires returns the fires of a unit: those it has a target for, else those it
// has readings of, in the order high, low, single, point.
func (h *History) Fires() []string {
	has := map[string]bool{}
	for i := range h.Targets {
		if h.Targets[i].Target.Declared() {
			has[h.Targets[i].Fire] = true
		}
	}
	if len(has) == 0 {
		for i := range h.Readings {
			has[h.Readings[i].Fire] = true
		}
	}
	var fires []string
	for _, fire := range []string{High, Low, Single, Point} {
		if has[fire] {
			fires = append(fires, fire)
		}
	}
	return fires
}

// FullTests reports for each visit whether it was a full test: for every fire
// of the unit it has an as left, or an as found inside the setting band with
// adjustment not recorded as yes. A reading without CO2 or O2 does not count,
// and a factory test is none: it was not made at the site.
func (r *Rules) FullTests(h *History) []bool {
	fires := h.Fires()
	tested := make([][]bool, len(fires))
	for k := range fires {
		tested[k] = make([]bool, len(h.Visits))
	}
	for i := range h.Readings {
		x := &h.Readings[i]
		for k, fire := range fires {
			if fire == x.Fire && r.tests(h, x) {
				tested[k][x.Visit] = true
			}
		}
	}
	full := make([]bool, len(h.Visits))
	for v := range h.Visits {
		full[v] = len(fires) > 0 && h.Visits[v].Reason != FactoryTest
		for k := range fires {
			full[v] = full[v] && tested[k][v]
		}
	}
	return full
}

// tests reports whether a reading settles its fire for a full test.
func (r *Rules) tests(h *History, x *Reading) bool {
	if math.IsNaN(r.CO2(x)) {
		return false
	}
	switch x.Condition {
	case AsLeft:
		return true
	case AsFound:
		inside := r.Setting(&x.Target, x.Fuel).Side(r.Deviation(x)) == Within
		return inside && h.Visits[x.Visit].Adjusted(x.Fire) != Yes
	}
	return false
}
