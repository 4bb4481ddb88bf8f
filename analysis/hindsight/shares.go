package hindsight

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"fluedrift/model/judge"
)

// counted are shares on the way: which cases count for each, and which of them
// are in it.
type counted struct {
	shares []Share
	at     [][]int // sites of the cases that count
	in     [][]float64
}

func newCounted(n int) *counted {
	return &counted{shares: make([]Share, n), at: make([][]int, n), in: make([][]float64, n)}
}

func (c *counted) add(k, site int, in bool) {
	v := 0.0
	c.shares[k].Of++
	if in {
		v = 1
		c.shares[k].In++
	}
	c.at[k], c.in[k] = append(c.at[k], site), append(c.in[k], v)
}

// intervals gives each share the interval of resampled sites.
func (c *counted) intervals(sites int, s Config) []Share {
	one := make([]int, sites)
	for i := range one {
		one[i] = i
	}
	f := newResampler(sites, s).figures(one, func(weight []float64) (out []float64) {
		for k := range c.shares {
			sum, n := 0.0, 0.0
			for i, at := range c.at[k] {
				w := of(weight, at)
				sum, n = sum+w*c.in[k][i], n+w
			}
			out = append(out, sum/n)
		}
		return out
	})
	for k := range c.shares {
		c.shares[k].Part = f[k]
	}
	return c.shares
}

// coverage counts what intervals held.
func coverage(cases []Case, s Config) []Share {
	c := newCounted(int(coveredKinds))
	site, sites := sitesOf(cases)
	for i := range cases {
		x := &cases[i]
		half := x.StepPoints / 2
		within := x.Points >= x.LowPoints-half && x.Points <= x.HighPoints+half
		c.add(int(FoundWithin), site[i], within)
		if x.SetNotRecorded {
			c.add(int(SetWithin), site[i], within)
		}
		switch {
		case x.LeavingFrom > x.VisitDay:
			c.add(int(OutBefore), site[i], x.Out)
		case x.LeavingTo > x.Origin && x.LeavingTo < x.VisitDay:
			c.add(int(InAfter), site[i], !x.Out)
		}
	}
	return c.intervals(sites, s)
}

// AnswersTurnedOut counts, for each answer given, how often the next visit within
// the horizon found the unit outside its band.
func AnswersTurnedOut(histories []*judge.History, o *Outcomes, s Config) (answers []AnswerShare) {
	type turned struct {
		answer string
		site   int
		out    bool
	}
	var all []turned
	seen := map[string]int{}
	for _, h := range histories {
		for _, a := range h.Answers {
			next := o.after(h.Unit.Serial, a.Day, s.HorizonDays)
			if len(next.Found) == 0 {
				continue
			}
			out := slices.ContainsFunc(next.Found, func(f Found) bool { return f.Side == judge.Rich || f.Side == judge.Lean })
			all = append(all, turned{a.Answer, siteOf(seen, &Case{Site: h.Unit.Site, Serial: h.Unit.Serial}), out})
		}
	}
	names := map[string]int{}
	for _, t := range all {
		names[t.answer] = 0
	}
	sorted := slices.Sorted(maps.Keys(names))
	c := newCounted(len(sorted))
	for _, t := range all {
		k, _ := slices.BinarySearch(sorted, t.answer)
		c.add(k, t.site, t.out)
	}
	for k, share := range c.intervals(len(seen), s) {
		answers = append(answers, AnswerShare{sorted[k], share})
	}
	return answers
}

// benefit is the net benefit of visiting by the model's probability, of visiting
// all, and of visiting whatever was not visited for long; none is zero.
func benefit(cases []Case, s Config) (rows []BenefitRow) {
	y, thresholds := outcomesOf(cases), thresholds()
	site, sites := sitesOf(cases)
	const each = 4
	f := newResampler(sites, s).figures(site, func(weight []float64) (out []float64) {
		for _, t := range thresholds {
			model := netBenefit(func(i int) bool { return cases[i].Chance[Model] >= t }, y, weight, t)
			every := netBenefit(func(int) bool { return true }, y, weight, t)
			stale := netBenefit(func(i int) bool { return cases[i].Order[DaysSince] >= float64(s.StaleDays) }, y, weight, t)
			out = append(out, model, every, stale, model-math.Max(0, math.Max(every, stale)))
		}
		return out
	})
	for k, t := range thresholds {
		at := f[each*k:]
		rows = append(rows, BenefitRow{t, at[0], at[1], at[2], at[3]})
	}
	return rows
}

// part is a group before its figures.
type part struct {
	kind  GroupKind
	name  string
	cases []Case
	site  []int
}

// partsOf sorts cases into parts by group, area, fuel, control and fire. The sites
// are those of all cases, so that one set of draws serves every group.
func partsOf(cases []Case) (parts []part) {
	site, _ := sitesOf(cases)
	for kind, of := range []func(*Case) string{
		ByGroup:   func(c *Case) string { return c.Group },
		ByArea:    func(c *Case) string { return c.Area },
		ByFuel:    func(c *Case) string { return c.Fuel },
		ByControl: func(c *Case) string { return string(c.Control) },
		ByFire:    func(c *Case) string { return string(c.Fire) },
	} {
		by := map[string]*part{}
		for i := range cases {
			name := cmp.Or(of(&cases[i]), "not recorded")
			if by[name] == nil {
				by[name] = &part{kind: GroupKind(kind), name: name}
			}
			by[name].cases, by[name].site = append(by[name].cases, cases[i]), append(by[name].site, site[i])
		}
		for _, name := range slices.Sorted(maps.Keys(by)) {
			parts = append(parts, *by[name])
		}
	}
	return parts
}
