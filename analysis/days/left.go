package days

import (
	"math"
	"slices"
)

// reason says why a stop stands in no day.
func (x *planner) reason(s *state, n int) Cause {
	g := &x.groups[n]
	able, inArea, onDay, fits := false, false, false, false
	empty := newState(x.p)
	for k, t := range x.p.routes {
		c := &x.in.Crews[t.crew]
		if !areaOf(c, g.area) {
			continue
		}
		inArea = true
		if !mayWork(c, g.units) {
			continue
		}
		able = true
		if g.on != nil && (x.days[t.day] != g.on.Day || g.on.Crew != "" && g.on.Crew != c.Code) {
			continue
		}
		onDay = true
		fits = fits || empty.cheapest(n, k).at >= 0
	}
	gain := x.value(g, x.in.Rules.From)
	switch u := &g.units[0].line.Unit; {
	case !inArea:
		return Cause{Kind: LeftNoCrew, Area: g.area}
	case !able:
		return Cause{Kind: LeftNoAbleCrew, Area: g.area, Fuel: u.Fuel, OfModel: u.ModelLine}
	case !onDay:
		return Cause{Kind: LeftPromiseNoCrew, Day: g.on.Day}
	case !g.must && gain < x.in.Rules.LeastDays:
		return Cause{Kind: LeftLittleGain, LeastDays: x.in.Rules.LeastDays}
	case !fits:
		return Cause{Kind: LeftTooLong, Minutes: g.onSite}
	case g.on != nil:
		return Cause{Kind: LeftPromiseFull, Day: g.on.Day}
	case g.must:
		return Cause{Kind: LeftMustFull}
	}
	return Cause{Kind: LeftNoRoom, GainDays: gain, Minutes: x.p.nodes[n].onSite + x.leastDetour(s, n)}
}

// leastDetour is the fewest minutes of driving that a stop without room would take.
func (x *planner) leastDetour(s *state, n int) float64 {
	free := math.Inf(1)
	for k := range x.p.routes {
		if x.p.nodes[n].routes[k] {
			free = math.Min(free, x.detour(s, n, k))
		}
	}
	return free
}

// detour is the fewest minutes of driving a stop adds to a route, hours aside.
func (x *planner) detour(s *state, n, k int) float64 {
	best := math.Inf(1)
	spot := x.p.nodes[n].spot
	for i := 0; i <= len(s.tours[k].stops); i++ {
		a, b := s.spotAt(k, i-1), s.spotAt(k, i)
		gap := x.p.m.at(a, b)
		if len(s.tours[k].stops) == 0 {
			gap = 0
		}
		best = math.Min(best, x.p.m.at(a, spot)+x.p.m.at(spot, b)-gap)
	}
	return best
}

// areaOf reports whether a crew goes to an area.
func areaOf(c *Crew, area string) bool {
	return len(c.Areas) == 0 || area == "" || slices.Contains(c.Areas, area)
}
