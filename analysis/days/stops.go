package days

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// candidate is a unit that may be visited within the weeks.
type candidate struct {
	line    *watch.Line
	site    string // key of its place
	why     Why
	promise *Promise
	gain    []benefit // on the first and the last day
	assumed bool
	minutes float64
	dueTest bool // a test is due, in the weeks or shortly after
}

// candidates sorts the lines into units to plan and units to leave, with the
// reason.
func candidates(in *Input) (units []candidate, left []Left) {
	promises := map[string]*Promise{}
	for i := range in.Promises {
		promises[in.Promises[i].Serial] = &in.Promises[i]
	}
	last := in.Rules.until() - 1
	for i := range in.Lines {
		l := &in.Lines[i]
		p := promises[l.Unit.Serial]
		if p == nil && l.Answer != nil && l.Answer.Answer == "planned" && l.Answer.Until != day.None {
			p = &Promise{Serial: l.Unit.Serial, Day: l.Answer.Until}
		}
		why, c := classify(l, p, in.Rules, last)
		if why.Kind != InPlan {
			left = append(left, Left{Line: l, Why: why})
			continue
		}
		c.gain = make([]benefit, 2)
		c.gain[0], c.assumed = benefitOf(l, in.Rules.From, in.Rules)
		c.gain[1], _ = benefitOf(l, last, in.Rules)
		units = append(units, c)
	}
	for i, key := range sitesOf(units) {
		units[i].site = key
	}
	return units, left
}

// classify says why a unit is left out, or what it is planned for.
func classify(l *watch.Line, p *Promise, r Config, last day.Day) (left Cause, c candidate) {
	c = candidate{line: l, why: Due, promise: p}
	c.dueTest = l.PlannedDay != day.None && l.PlannedDay <= last+day.Day(r.PullForwardDays)
	if p != nil && p.Day >= r.From {
		if p.Day > last {
			return Cause{Kind: PromisedLater, Day: p.Day}, c
		}
		c.why = Promised
		return Cause{}, c
	}
	c.promise = nil
	switch {
	case l.Removed:
		return Cause{Kind: LeftRemoved}, c
	case r.MustGroups[l.Group] && l.Foot == watch.NoFoot || l.Ground == watch.COUrgentNow:
		c.why = HasToBeSeen
		return Cause{}, c
	case l.Foot != watch.NoFoot && !(l.Answer != nil && l.Answer.Answer == "planned"):
		return Cause{Kind: LeftAtFoot}, c
	case l.Group == watch.AskFirst:
		return Cause{Kind: LeftAskFirst}, c
	case l.Due() || l.Foot != watch.NoFoot: // a promise that has passed is due again
		return Cause{}, c
	case c.dueTest:
		c.why = PulledForward
		return Cause{}, c
	}
	return Cause{Kind: LeftToPlan}, c
}

// group is a stop before it has a time: units of one site.
type group struct {
	units  []candidate
	spot   int
	area   string
	must   bool
	on     *Promise // promised for a day
	onSite float64
}

// groups puts the units of each site into one stop. Units promised for other
// days stand apart, and a stop that no day can hold is cut by plants, then
// between units.
func groups(in *Input, units []candidate) []group {
	order := []string{}
	bySite := map[string][]candidate{}
	for _, u := range units {
		if _, ok := bySite[u.site]; !ok {
			order = append(order, u.site)
		}
		bySite[u.site] = append(bySite[u.site], u)
	}
	longest := longestDay(in.Crews)
	var out []group
	for _, key := range order {
		for _, part := range byPromise(in, bySite[key]) {
			for _, able := range byAbility(part, in.Crews) {
				out = append(out, cut(able, longest, in.Rules)...)
			}
		}
	}
	return out
}

// byPromise cuts a site's units by the day they are promised for. Those without
// a promise go with the first promised, where a crew works on that day; what has
// to be seen never waits for another unit's promise.
func byPromise(in *Input, units []candidate) [][]candidate {
	var parts [][]candidate
	index := map[string]int{}
	at := func(key string) int {
		k, ok := index[key]
		if !ok {
			k = len(parts)
			index[key] = k
			parts = append(parts, nil)
		}
		return k
	}
	with := ""
	for _, u := range units {
		if u.promise == nil {
			continue
		}
		key := fmt.Sprint(u.promise.Day, " ", u.promise.Crew)
		parts[at(key)] = append(parts[at(key)], u)
		if with == "" && in.canKeep(u.promise) {
			with = key
		}
	}
	for _, u := range units {
		switch {
		case u.promise != nil:
		case with == "" || u.why == HasToBeSeen:
			parts[at("")] = append(parts[at("")], u)
		default:
			parts[at(with)] = append(parts[at(with)], u)
		}
	}
	return parts
}

// canKeep reports whether any crew that a promise allows works on its day.
func (in *Input) canKeep(p *Promise) bool {
	return slices.ContainsFunc(in.Crews, func(c Crew) bool {
		_, works := in.works(&c, p.Day)
		return works && (p.Crew == "" || p.Crew == c.Code)
	})
}

// byAbility keeps a stop whole if one crew may work on all of it; else each
// fuel and model line is a stop of its own.
func byAbility(units []candidate, crews []Crew) [][]candidate {
	if slices.ContainsFunc(crews, func(c Crew) bool { return mayWork(&c, units) }) {
		return [][]candidate{units}
	}
	var parts [][]candidate
	index := map[string]int{}
	for _, u := range units {
		key := u.line.Unit.Fuel + "\x00" + u.line.Unit.ModelLine
		if _, ok := index[key]; !ok {
			index[key] = len(parts)
			parts = append(parts, nil)
		}
		parts[index[key]] = append(parts[index[key]], u)
	}
	return parts
}

// mayWork reports whether a crew may go to a stop's area and work on all of its
// units. A unit without an area is in nobody's way: any crew may go.
func mayWork(c *Crew, units []candidate) bool {
	for i := range units {
		if !c.Serves(&units[i].line.Unit) {
			return false
		}
	}
	return true
}

// Serves reports whether a crew goes to a unit's area and may work on it.
func (c *Crew) Serves(u *judge.Unit) bool {
	return areaOf(c, u.Area) && (len(c.Fuels) == 0 || slices.Contains(c.Fuels, u.Fuel)) &&
		(len(c.ModelLines) == 0 || slices.Contains(c.ModelLines, u.ModelLine))
}

// longestDay is the most minutes any crew works on a day.
func longestDay(crews []Crew) float64 {
	most := 0
	for _, c := range crews {
		for _, w := range c.Days {
			most = max(most, w.Until-w.From)
		}
	}
	return float64(most)
}

// shareOnSite is how much of the longest day a stop may take before it is cut:
// the rest is for the way.
const shareOnSite = 0.75

// cut makes one stop of some units, or several where no day holds them: units of
// a plant stay together as long as they fit.
func cut(units []candidate, longest float64, r Config) []group {
	if whole := groupOf(units, r); len(units) == 1 || whole.onSite <= shareOnSite*longest {
		return []group{whole}
	}
	slices.SortStableFunc(units, func(a, b candidate) int { return strings.Compare(a.line.Unit.Plant, b.line.Unit.Plant) })
	var out []group
	for len(units) > 0 {
		n := 1
		for n < len(units) && groupOf(units[:n+1], r).onSite <= shareOnSite*longest {
			n++
		}
		for m := n; n < len(units) && m > 1; m-- { // not through a plant
			if p := units[m-1].line.Unit.Plant; p == "" || p != units[m].line.Unit.Plant {
				n = m
				break
			}
		}
		out = append(out, groupOf(slices.Clone(units[:n]), r))
		units = units[n:]
	}
	return out
}

// groupOf makes a stop of units, with the minutes each takes.
func groupOf(units []candidate, r Config) group {
	g := group{units: slices.Clone(units), area: units[0].line.Unit.Area, onSite: r.ArriveMinutes}
	slices.SortStableFunc(g.units, func(a, b candidate) int { return cmp.Compare(a.line.Rank, b.line.Rank) })
	for i := range g.units {
		u := &g.units[i]
		u.minutes = r.FurtherMinutes
		if i == 0 {
			u.minutes = r.FirstUnitMinutes
		}
		if m, ok := r.MinutesOfGroup[u.line.Group]; ok {
			u.minutes = m
		}
		g.onSite += u.minutes
		g.must = g.must || u.why == HasToBeSeen || u.why == Promised
		if u.promise != nil {
			g.on = u.promise
		}
	}
	g.onSite = math.Round(g.onSite)
	return g
}

// gainOn is what a unit's visit avoids on a day: on a line between those of the first and the last day.
func (c *candidate) gainOn(day day.Day, r Config) benefit {
	x := float64(day-r.From) / math.Max(float64(r.until()-1-r.From), 1)
	return c.gain[0].between(c.gain[1], x)
}

// weighted is what a unit's visit counts in the choice: what it avoids, and a share
// for a test that falls due.
func (c *candidate) weighted(day day.Day, r Config) float64 {
	v := c.gainOn(day, r).key
	if c.dueTest {
		v += r.DueTestDays
	}
	return v
}
