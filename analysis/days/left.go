package days

import (
	"fmt"
	"math"
	"slices"

	"fluedrift/analysis/watch"
)

// reason says why a stop stands in no day.
func (x *planner) reason(s *state, n int) string {
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
	switch {
	case !inArea:
		return fmt.Sprintf("no crew works in area %q within these weeks", g.area)
	case !able:
		return fmt.Sprintf("no crew of area %q works on %s, %s", g.area, g.units[0].line.Unit.Fuel, g.units[0].line.Unit.ModelLine)
	case !onDay:
		return "promised for " + watch.DayWords(g.on.Day) + ", when no crew that may go there works"
	case !g.must && gain < x.in.Rules.LeastDays:
		return fmt.Sprintf("gains under %g days: not worth the drive", x.in.Rules.LeastDays)
	case !fits:
		return fmt.Sprintf("%.0f minutes on site and the drive fit in no crew's day within the site's hours", g.onSite)
	case g.on != nil:
		return "promised for " + watch.DayWords(g.on.Day) + ", and no longer fits beside what else was promised for that day"
	case g.must:
		return "has to be seen, and all days are full of what has to be seen: more crews or weeks are needed"
	}
	return x.noRoom(s, n, gain)
}

// noRoom says what a stop without room would cost.
func (x *planner) noRoom(s *state, n int, gain float64) string {
	free := math.Inf(1)
	for k := range x.p.routes {
		if x.p.nodes[n].routes[k] {
			free = math.Min(free, x.detour(s, n, k))
		}
	}
	return fmt.Sprintf("no room: others gain more by the minute (here %.1f days for %.0f minutes at least)", gain, x.p.nodes[n].onSite+free)
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
