package study

import (
	"cmp"
	"math"
	"slices"

	"fluedrift/model/judge"
)

// choose settles what the declared comparison leaves open, by the designs alone.
func choose(s *Study) {
	p := &s.Settings.Primary
	p.Fire = cmp.Or(p.Fire, judge.High)
	if p.Kind != "" && p.Control != "" {
		s.PrimaryWhy = InConfiguration{}
		return
	}
	all := candidates(s, *p)
	if len(all) == 0 {
		p.Kind = cmp.Or(p.Kind, Drift)
		s.PrimaryWhy = NoneEnough{Rows: fewest, Sites: fewestSites}
		return
	}
	*p = all[0].Primary
	s.PrimaryWhy = GreatestPower{Rows: fewest, Sites: fewestSites, Of: all}
}

// candidates are the comparisons that a declaration leaves open and that have rows and
// sites enough, the one whose interval is to be expected narrowest first. Widths go by
// the columns of the fits, as if each difference had the same noise.
func candidates(s *Study, open Primary) (all []Candidate) {
	for _, kind := range Kinds {
		if open.Kind != "" && kind != open.Kind {
			continue
		}
		rows := s.rowsOf(s.Rows, kind, open.Fire)
		for _, c := range commonest(rows) {
			own := within(rows, c)
			n := countsOf(own)
			if open.Control != "" && c != open.Control || n.Rows < fewest || n.Sites < fewestSites {
				continue
			}
			if alone := newDesign(kind, own, byLength).ventAlone(); alone > 0 {
				all = append(all, Candidate{Primary{kind, open.Fire, c}, n.Rows, n.Sites, perMetre(own) / math.Sqrt(alone)})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b Candidate) int { return cmp.Compare(a.Width, b.Width) })
	for i := range slices.Backward(all) {
		all[i].Width /= all[0].Width
	}
	return all
}

// commonest are the burner controls with rows and sites enough for a fit of their own,
// the most frequent first.
func commonest(rows []*Row) (controls []judge.Control) {
	_, names := levelsOf(rows, controlOf)
	for _, l := range names {
		if l != otherLevel {
			controls = append(controls, judge.Control(l))
		}
	}
	return controls
}

// within keeps the rows of one burner control; "" is all.
func within(rows []*Row, control judge.Control) (out []*Row) {
	for _, r := range rows {
		if control == "" || r.Control == control {
			out = append(out, r)
		}
	}
	return out
}

// perMetre turns an effect of no vent to the longest run into that of a metre: the
// mean, over the units of the rows, of one over the longest run of their model line.
func perMetre(rows []*Row) float64 {
	seen, sum := map[string]bool{}, 0.0
	for _, r := range rows {
		if !seen[r.Serial] {
			seen[r.Serial] = true
			sum += 1 / r.LongestM
		}
	}
	return sum / float64(len(seen))
}
