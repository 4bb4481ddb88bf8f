package night

import (
	"slices"
	"strings"
	"unicode"

	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/ingest/ids"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// likely finds what a serial outside the register probably stands for. It is a hint for
// a person: nothing is joined by it.
type likely struct {
	register []judge.Unit
	known    map[string]string // hints by serial and site
}

func newLikely(lines []watch.Line) *likely {
	k := &likely{known: map[string]string{}}
	for i := range lines {
		if lines[i].Unit.InRegister {
			k.register = append(k.register, lines[i].Unit)
		}
	}
	return k
}

// message says what a person has to decide about a line.
func (k *likely) message(a queries.SetAside) string {
	if a.Reason == "not-in-register" {
		if hint := k.hint(a); hint != "" {
			return a.Serial + ": " + hint + "; " + waitsFor(a)
		}
	}
	return waitsFor(a)
}

// hint is what a line outside the register should probably name, in words.
func (k *likely) hint(a queries.SetAside) string {
	key := a.Serial + "\x00" + a.Site
	said, known := k.known[key]
	if !known {
		said = k.find(a.Serial, placeName(a.Site))
		k.known[key] = said
	}
	return said
}

// find is the one unit of the site whose serial differs by a slip; else that of the whole
// register, where it is no more than written otherwise. A digit is a slip only at the same
// site: elsewhere it is another boiler.
func (k *likely) find(serial, site string) string {
	here := func(u *judge.Unit) bool { return site != "" && site == placeName(u.Site) }
	if u, slips := k.nearest(serial, here, digitSlip); u != nil {
		return words.ProbablyUnit(u.Serial, "same site", slipsIn(slips))
	}
	everywhere := func(*judge.Unit) bool { return true }
	most := lookSlip
	if site != "" {
		most = writingSlip
	}
	u, slips := k.nearest(serial, everywhere, most)
	switch {
	case u == nil:
		return ""
	case site == "" || u.Site == "":
		return words.ProbablyUnit(u.Serial, "", slipsIn(slips))
	}
	return words.ProbablyUnit(u.Serial, "the register has it at "+u.Site, slipsIn(slips))
}

// nearest is the one unit that differs by the least slips; nil where several do.
func (k *likely) nearest(serial string, among func(*judge.Unit) bool, most slipRank) (found *judge.Unit, slips []ids.Difference) {
	several := false
	for i := range k.register {
		u := &k.register[i]
		if !among(u) {
			continue
		}
		all := ids.Compare(serial, u.Serial)
		switch rank := rankOf(all); {
		case len(all) == 0 || rank > most:
		case found == nil || rank < rankOf(slips):
			found, slips, several = u, all, false
		case rank == rankOf(slips):
			several = true
		}
	}
	if several {
		return nil, nil
	}
	return found, slips
}

// slipRank puts ways of writing before look-alikes, and those before digits.
type slipRank int

const (
	writingSlip slipRank = iota
	lookSlip
	digitSlip
)

func rankOf(all []ids.Difference) slipRank {
	switch {
	case slices.Contains(all, ids.OneDigit) || slices.Contains(all, ids.Swapped):
		return digitSlip
	case slices.Contains(all, ids.LookAlike):
		return lookSlip
	}
	return writingSlip
}

func slipsIn(all []ids.Difference) []string {
	texts := make([]string, len(all))
	for i, d := range all {
		texts[i] = string(d)
	}
	return texts
}

// placeName is the name of a place by its letters and digits.
func placeName(site string) string {
	return strings.Map(func(r rune) rune {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) {
			return -1
		}
		return unicode.ToLower(r)
	}, site)
}
