package days

import "slices"

// improve orders the stops of a route anew as long as that saves minutes:
// 2-opt turns a stretch round, or-opt moves a stretch of up to three stops.
func (s *state) improve(r int) (changed bool) {
	t := &s.tours[r]
	if len(t.stops) < 2 {
		return false
	}
	for s.turn(r) || s.shift(r) {
		changed = true
	}
	return changed
}

// leg is the minutes between two positions of a route; -1 and the length are
// its ends.
func (s *state) leg(r, i, j int) float64 { return s.p.m.at(s.spotAt(r, i), s.spotAt(r, j)) }

func (s *state) spotAt(r, i int) int {
	t := &s.tours[r]
	switch {
	case i < 0:
		return s.p.routes[r].home
	case i >= len(t.stops):
		return s.p.routes[r].end
	}
	return s.p.nodes[t.stops[i]].spot
}

// saving is what counts as one: below it lies rounding.
const saving = 1e-7

// turn is one improving move of 2-opt, the best of all.
func (s *state) turn(r int) bool {
	t := &s.tours[r]
	n, old := len(t.stops), t.minutes
	trial := make([]int, n)
	for i := 0; i < n-1; i++ {
		for j := i + 1; j < n; j++ {
			if s.p.m.symmetric {
				if s.leg(r, i-1, j)+s.leg(r, i, j+1)-s.leg(r, i-1, i)-s.leg(r, j, j+1) >= -saving {
					continue
				}
			}
			copy(trial, t.stops)
			slices.Reverse(trial[i : j+1])
			if m, ok := s.p.possible(r, trial); ok && m < old-saving {
				copy(t.stops, trial)
				s.update(r)
				return true
			}
		}
	}
	return false
}

// longestShift is how many stops or-opt moves at once.
const longestShift = 3

// shift is one improving move of or-opt.
func (s *state) shift(r int) bool {
	t := &s.tours[r]
	n, old := len(t.stops), t.minutes
	trial := make([]int, 0, n)
	for size := 1; size <= min(longestShift, n-1); size++ {
		for i := 0; i+size <= n; i++ {
			gap := s.leg(r, i-1, i) + s.leg(r, i+size-1, i+size) - s.leg(r, i-1, i+size)
			if gap <= saving {
				continue
			}
			for j := -1; j < n; j++ { // between j and j+1
				if j >= i-1 && j < i+size {
					continue
				}
				here := s.leg(r, j, j+1)
				for _, back := range []bool{false, true} {
					a, z := i, i+size-1
					if back {
						a, z = z, a
					}
					if s.p.m.symmetric && s.leg(r, j, a)+s.leg(r, z, j+1)-here-gap >= -saving {
						continue
					}
					trial = moved(trial[:0], t.stops, i, size, j, back)
					if m, ok := s.p.possible(r, trial); ok && m < old-saving {
						copy(t.stops, trial)
						s.update(r)
						return true
					}
					if size == 1 {
						break
					}
				}
			}
		}
	}
	return false
}

// moved takes size stops from i and puts them behind position j, turned round
// where asked.
func moved(to, stops []int, i, size, j int, back bool) []int {
	part := slices.Clone(stops[i : i+size])
	if back {
		slices.Reverse(part)
	}
	for k := -1; k < len(stops); k++ {
		if k >= 0 && (k < i || k >= i+size) {
			to = append(to, stops[k])
		}
		if k == j {
			to = append(to, part...)
		}
	}
	return to
}

// exchange moves single stops to other routes and swaps pairs between routes as
// long as the plan gets better; the routes are looked at in pairs. It returns
// the routes it changed.
func (s *state) exchange(routes []int) (changed []int) {
	note := func(rs ...int) {
		for _, r := range rs {
			if !slices.Contains(changed, r) {
				changed = append(changed, r)
			}
		}
	}
	for i, a := range routes {
		for _, b := range routes[i+1:] {
			if !s.share(a, b) {
				continue
			}
			for s.relocate(a, b) || s.relocate(b, a) || s.swap(a, b) {
				note(a, b)
			}
		}
	}
	return changed
}

// share reports whether any stop of one route may go to the other.
func (s *state) share(a, b int) bool {
	for _, n := range s.tours[a].stops {
		if s.p.nodes[n].routes[b] {
			return true
		}
	}
	for _, n := range s.tours[b].stops {
		if s.p.nodes[n].routes[a] {
			return true
		}
	}
	return false
}

// relocate moves one stop from a route to another where that is better.
func (s *state) relocate(a, b int) bool {
	for i := range s.tours[a].stops {
		n := s.tours[a].stops[i]
		if !s.p.nodes[n].routes[b] {
			continue
		}
		in := s.cheapest(n, b)
		if in.at < 0 {
			continue
		}
		v := &s.p.nodes[n]
		out := s.leg(a, i-1, i) + s.leg(a, i, i+1) - s.joined(a, i)
		gain := v.value[s.p.routes[b].day] - v.value[s.p.routes[a].day] - s.p.minuteWorth*(in.added-out)
		if gain <= saving*s.p.minuteWorth {
			continue
		}
		old := s.tours[a].clone()
		s.tours[a].stops = slices.Delete(s.tours[a].stops, i, i+1)
		if !s.update(a) { // without the triangle inequality a route can get longer
			s.tours[a] = old
			continue
		}
		s.insert(n, b, int(in.at))
		return true
	}
	return false
}

// joined is the leg that closes the gap of a stop taken out.
func (s *state) joined(r, i int) float64 {
	if len(s.tours[r].stops) == 1 && s.p.routes[r].home == s.p.routes[r].end {
		return 0
	}
	return s.leg(r, i-1, i+1)
}

// swap exchanges one stop of each of two routes, each to its cheapest place.
func (s *state) swap(a, b int) bool {
	before := s.tourValue(a) + s.tourValue(b)
	for i := range s.tours[a].stops {
		for j := range s.tours[b].stops {
			x, y := s.tours[a].stops[i], s.tours[b].stops[j]
			if !s.p.nodes[x].routes[b] || !s.p.nodes[y].routes[a] || !s.promising(a, b, i, j) {
				continue
			}
			oldA, oldB := s.tours[a].clone(), s.tours[b].clone()
			goneA, goneB := s.removeFrom(a, func(n int) bool { return n == x }), s.removeFrom(b, func(n int) bool { return n == y })
			if in := s.cheapest(x, b); in.at >= 0 && len(goneA) == 1 && len(goneB) == 1 {
				s.insert(x, b, int(in.at))
				if in = s.cheapest(y, a); in.at >= 0 {
					s.insert(y, a, int(in.at))
					if s.tourValue(a)+s.tourValue(b) > before+saving*s.p.minuteWorth {
						return true
					}
				}
			}
			s.tours[a], s.tours[b] = oldA, oldB
			for _, n := range goneA {
				s.where[n] = a
			}
			for _, n := range goneB {
				s.where[n] = b
			}
		}
	}
	return false
}

// promising is a bound that rules most swaps out: the minutes two stops cause
// where they are must exceed the least they cause in each other's place.
func (s *state) promising(a, b, i, j int) bool {
	x, y := s.tours[a].stops[i], s.tours[b].stops[j]
	vx, vy := &s.p.nodes[x], &s.p.nodes[y]
	da, db := s.p.routes[a].day, s.p.routes[b].day
	gain := vx.value[db] + vy.value[da] - vx.value[da] - vy.value[db]
	now := s.leg(a, i-1, i) + s.leg(a, i, i+1) + s.leg(b, j-1, j) + s.leg(b, j, j+1)
	then := s.p.m.at(s.spotAt(a, i-1), vy.spot) + s.p.m.at(vy.spot, s.spotAt(a, i+1)) +
		s.p.m.at(s.spotAt(b, j-1), vx.spot) + s.p.m.at(vx.spot, s.spotAt(b, j+1))
	return gain+s.p.minuteWorth*(now-then) > 0 || gain > 0
}
