package layout

import "fluedrift/ingest/parse"

// Range is what numbers from one to another become.
type Range struct {
	From *float64 `toml:"from"`
	To   *float64 `toml:"to"`
	Is   string   `toml:"is"`
}

// checkRanges holds the ranges of a step apart. Where one ends another may begin: their
// bound belongs to the upper one.
func checkRanges(s *Step) error {
	if len(s.Ranges) == 0 {
		return s.fault("ranges lists at least one range: { from = 80, to = 110, is = \"high\" }")
	}
	for i, r := range s.Ranges {
		switch {
		case r.From == nil || r.To == nil || parse.Trim(r.Is) == "":
			return s.fault("range %d needs from, to and is: { from = 80, to = 110, is = \"high\" }", i+1)
		case !(*r.From < *r.To):
			return s.fault("range %q reaches from %g to %g: from has to be below to", r.Is, *r.From, *r.To)
		}
		for _, other := range s.Ranges[:i] {
			if *r.From < *other.To && *other.From < *r.To {
				return s.fault("ranges %q and %q overlap: a number in both would mean either", other.Is, r.Is)
			}
		}
	}
	return nil
}

// Ranged is the text of the range that a number lies in; false for one outside them all.
func (s *Step) Ranged(v float64) (text string, ok bool) {
	for _, r := range s.Ranges {
		if v >= *r.From && v < *r.To {
			return r.Is, true
		}
	}
	for _, r := range s.Ranges {
		if v == *r.To {
			return r.Is, true
		}
	}
	return "", false
}
