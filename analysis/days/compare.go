package days

import (
	"cmp"
	"math"
	"slices"

	"fluedrift/model/day"
)

// byLastVisit orders stops as one plans without a list: the unit that was seen
// longest ago first, never seen before all.
func (x *planner) byLastVisit() []int {
	last := func(g *group) day.Day {
		day := day.Day(math.MaxInt32)
		for i := range g.units {
			day = min(day, g.units[i].line.LastVisit) // day.None is the smallest
		}
		return day
	}
	return x.sorted(func(a, b *group) int { return cmp.Compare(last(a), last(b)) })
}

// byPlace orders stops by the first of their units on the list.
func (x *planner) byPlace() []int {
	return x.sorted(func(a, b *group) int { return 0 })
}

// sorted orders stops by a rule, equal ones by the list.
func (x *planner) sorted(rule func(a, b *group) int) []int {
	order := make([]int, len(x.groups))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		p, q := &x.groups[a], &x.groups[b]
		return cmp.Or(rule(p, q), cmp.Compare(p.units[0].line.Rank, q.units[0].line.Rank))
	})
	return order
}

// inOrder fills the same days in a given order: what is promised first, then
// each stop on the first day on which a crew has room, where it adds the fewest
// minutes; each day's stops are then driven in their best order. Nothing else is
// weighed.
func (x *planner) inOrder(way Way, order []int) Compared {
	s := newState(x.p)
	for _, promised := range []bool{true, false} {
		for _, n := range order {
			if (x.groups[n].on != nil) == promised {
				x.firstRoom(s, n)
			}
		}
	}
	for r := range s.tours {
		s.improve(r)
	}
	return x.compared(way, s)
}

// firstRoom puts a stop on the first day with room.
func (x *planner) firstRoom(s *state, n int) {
	best, at, day := -1, insertion{math.Inf(1), -1}, math.MaxInt
	for r, t := range x.p.routes {
		if t.day > day {
			continue
		}
		if in := s.cheapest(n, r); in.at >= 0 && (t.day < day || in.added < at.added) {
			best, at, day = r, in, t.day
		}
	}
	if best >= 0 {
		s.insert(n, best, int(at.at))
	}
}

// compared sums a state up.
func (x *planner) compared(way Way, s *state) Compared {
	c := Compared{Way: way}
	for r := range s.tours {
		t, day := &s.tours[r], x.days[x.p.routes[r].day]
		first := x.p.routes[r].first
		if len(t.stops)+len(first) == 0 {
			continue
		}
		c.CrewDays++
		c.DriveMinutes += t.minutes
		for i := range first {
			c.DriveMinutes += first[i].drive
			x.sees(&c, first[i].group, day)
		}
		for _, n := range t.stops {
			x.sees(&c, &x.groups[n], day)
		}
	}
	return c
}

// sees adds the units of a stop to what a way sees.
func (x *planner) sees(c *Compared, g *group, day day.Day) {
	for i := range g.units {
		c.Units++
		c.GainDays += g.units[i].gainOn(day, x.in.Rules).days
		c.Visits = append(c.Visits, Seen{g.units[i].line.Unit.Serial, day, horizonEnd(day, x.in.Rules)})
	}
}
