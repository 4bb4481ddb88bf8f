package days

import (
	"fmt"
	"slices"

	"fluedrift/analysis/watch"
)

// firstStop is a stop that a route begins with: nothing stands before it.
type firstStop struct {
	group                       *group
	spot                        int
	arrive, begin, leave, drive float64
}

// firsts plans the first stops.
type firsts struct{ *planner }

// plan makes a stop whose CO is urgent the first of a day: of the crew that
// can begin there soonest, by the day and then by the clock. What such a stop leaves
// of the day is planned from there. A stop that no crew can reach stays with the
// others, and the plan says why it has no day.
func (x firsts) plan() {
	var rest []group
	for i := range x.groups {
		g := x.groups[i]
		urgent, others := parted(g, x.in.Rules)
		switch {
		case urgent == nil:
			rest = append(rest, g)
		case x.place(&g):
		case others != nil && x.place(urgent):
			rest = append(rest, *others)
		default:
			rest = append(rest, g)
		}
	}
	x.groups = rest
}

// parted tells the units of a stop whose CO is urgent from the others; nil where
// there are none.
func parted(g group, r Config) (urgent, others *group) {
	of := func(urgent bool) *group {
		var units []candidate
		for _, u := range g.units {
			if u.urgent() == urgent {
				units = append(units, u)
			}
		}
		if units == nil {
			return nil
		}
		out := groupOf(units, r)
		out.spot = g.spot
		return &out
	}
	return of(true), of(false)
}

// urgent reports whether a unit is to be gone to before all others.
func (c *candidate) urgent() bool { return c.line.Ground == watch.COUrgentNow }

// place puts a stop at the head of the route that reaches it soonest, after the
// stops that stand there already; false where none can. A day that would break what is
// promised on it is taken only where there is no other.
func (x firsts) place(g *group) bool {
	for _, keep := range []bool{true, false} {
		if k, s := x.soonest(g, keep); k >= 0 {
			t := &x.p.routes[k]
			t.first = append(t.first, s)
			t.home, t.from, t.most = g.spot, s.leave, t.most-s.drive
			return true
		}
	}
	return false
}

// soonest is the route that reaches a stop soonest, -1 where none can.
func (x firsts) soonest(g *group, keep bool) (best int, at firstStop) {
	best = -1
	for k := range x.p.routes {
		t := &x.p.routes[k]
		if best >= 0 && x.p.routes[best].day < t.day || !x.may(t, g) {
			continue
		}
		s, ok := x.reach(t, g)
		if ok && (!keep || x.keeps(t, s)) && (best < 0 || t.day < x.p.routes[best].day || s.begin < at.begin) {
			best, at = k, s
		}
	}
	return best, at
}

// keeps reports whether what is promised for a day can still be done after a first
// stop, from each place to the nearest.
func (x firsts) keeps(t *route, s firstStop) bool {
	var promised []*group
	for i := range x.groups {
		if g := &x.groups[i]; g.on != nil && !g.units[0].urgent() && x.may(t, g) {
			promised = append(promised, g)
		}
	}
	at, now := s.spot, s.leave
	for len(promised) > 0 {
		k := 0
		for i := range promised {
			if x.p.m.at(at, promised[i].spot) < x.p.m.at(at, promised[k].spot) {
				k = i
			}
		}
		now += x.p.m.at(at, promised[k].spot) + promised[k].onSite
		at = promised[k].spot
		promised = slices.Delete(promised, k, k+1)
	}
	return now+x.p.m.at(at, t.end) <= t.until
}

// reach drives to a stop from where a route begins; ok where the site is open then
// and the crew is home in time.
func (x firsts) reach(t *route, g *group) (s firstStop, ok bool) {
	s = firstStop{group: g, spot: g.spot, drive: x.p.m.at(t.home, g.spot)}
	s.arrive = t.from + s.drive
	hours, always := x.in.open(g.units[0].line.Unit.Site, x.days[t.day])
	if s.begin = s.arrive; !always {
		s.begin = beginWithin(hours, s.arrive, g.onSite)
	}
	s.leave = s.begin + g.onSite
	back := x.p.m.at(g.spot, t.end)
	return s, s.leave+back <= t.until && s.drive+back <= t.most
}

// begin tells the stops that a route begins with.
func (x firsts) begin(d *CrewDay, t *route) {
	for i := range t.first {
		f := &t.first[i]
		s := x.stopOf(f.group, d.Day)
		s.Arrive, s.Begin, s.Leave, s.DriveMinutes = f.arrive, f.begin, f.leave, f.drive
		s.CostMinutes = f.group.onSite + f.drive
		d.OnSiteMinutes += f.group.onSite
		d.DriveMinutes += f.drive
		d.Stops = append(d.Stops, s)
	}
	d.Start = t.starts
}

// urgentBefore sees that nothing stands before a stop whose CO is urgent.
func (c *checker) urgentBefore(at string, d *CrewDay) {
	other := false
	for _, s := range d.Stops {
		urgent := slices.ContainsFunc(s.Visits, func(v Visit) bool { return v.Line.Ground == watch.COUrgentNow })
		if urgent && other {
			c.breaks(fmt.Errorf("%s: something stands before a unit whose CO is urgent", at))
		}
		other = other || !urgent
	}
}
