package hindsight

import (
	"maps"
	"slices"

	"fluedrift/model/judge"
)

// leastGroup is how many units a group needs to be told apart.
const leastGroup = 30

// groups measures parts of the fleet: tiers, areas, fuels, controls, fires.
func groups(cases []Case) (out []Group) {
	for _, kind := range []struct {
		name string
		of   func(*Case) string
	}{
		{"tier at the origin", func(c *Case) string { return c.Tier }},
		{"area", func(c *Case) string { return c.Area }},
		{"fuel", func(c *Case) string { return c.Fuel }},
		{"burner control", func(c *Case) string { return c.Control }},
		{"fire", func(c *Case) string { return c.Fire }},
	} {
		by := map[string][]Case{}
		for i := range cases {
			by[kind.of(&cases[i])] = append(by[kind.of(&cases[i])], cases[i])
		}
		for _, name := range slices.Sorted(maps.Keys(by)) {
			part := by[name]
			u := byUnit(part)
			if u.n < leastGroup {
				continue
			}
			if name == "" {
				name = "not recorded"
			}
			out = append(out, Group{kind.name, name, u.n, mean(outcomesOf(part), nil), mean(chancesOf(part, Model), nil), u.auc(Model, nil), u.precision(Model, nil, 0.10, 0)})
		}
	}
	return out
}

// AnswersTurnedOut counts, for each answer given, how often the next visit within
// the horizon found the unit outside its band.
func AnswersTurnedOut(histories []*judge.History, o *Outcomes, horizonDays int32) (out []Share) {
	by := map[string]*Share{}
	for _, h := range histories {
		for _, a := range h.Answers {
			next := o.After(h.Unit.Serial, a.Day, horizonDays)
			if len(next.Found) == 0 {
				continue
			}
			s := by[a.Answer]
			if s == nil {
				s = &Share{Name: a.Answer}
				by[a.Answer] = s
			}
			s.Of++
			if slices.ContainsFunc(next.Found, func(f Found) bool { return f.Side == judge.Rich || f.Side == judge.Lean }) {
				s.In++
			}
		}
	}
	for _, name := range slices.Sorted(maps.Keys(by)) {
		out = append(out, *by[name])
	}
	return out
}
