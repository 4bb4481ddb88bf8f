package days

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"fluedrift/model/day"
)

// mostStops is how many stops the search takes in; those worth least a minute
// stay out where there are more.
const mostStops = 2500

// Weights of the search, in days outside avoided. What has to be seen stands
// above any sum of gains, and each day that passes before it is seen counts.
const (
	mustWorth    = 1e6
	latePerDay   = 20
	promiseWorth = 1e7
	minuteWorth  = 0.002
)

// planner holds a plan in the making.
type planner struct {
	in     *Input
	groups []group
	days   []day.Day
	p      *problem
	spots  []spot
	left   []Left
}

// Make plans the days. It fails where no crew is named or an input makes no
// sense, never because coordinates or room are missing.
func Make(in Input) (*Plan, error) {
	if err := in.check(); err != nil {
		return nil, err
	}
	x := &planner{in: &in}
	var units []candidate
	units, x.left = candidates(&in)
	x.groups = groups(&in, units)
	x.setUp(units)
	s := x.keepMust(x.p.search(in.Rules.Iterations))
	plan := x.plan(s)
	plan.Compared = []Compared{x.compared(ThisPlan, s), x.inOrder(ByLastVisit, x.byLastVisit()), x.inOrder(ByPlace, x.byPlace())}
	if broken := check(in, plan); len(broken) > 0 {
		return nil, fmt.Errorf("the plan breaks its own rules: %w", broken[0])
	}
	return plan, nil
}

// check holds the input against what can be planned.
func (in *Input) check() error {
	r := &in.Rules
	switch {
	case len(in.Crews) == 0:
		return errors.New("no crew is named")
	case r.Weeks < 1 || r.Weeks > 26:
		return fmt.Errorf("%d weeks are not between 1 and 26", r.Weeks)
	case !(r.KmPerHour > 0) || !(r.Detour >= 1):
		return fmt.Errorf("a speed of %g km/h and a detour of %g times are no way to drive", r.KmPerHour, r.Detour)
	case !(r.FirstUnitMinutes > 0) || !(r.FurtherMinutes > 0) || !(r.ArriveMinutes >= 0):
		return errors.New("minutes on site must be positive")
	}
	codes := map[string]bool{}
	for _, c := range in.Crews {
		if codes[c.Code] {
			return fmt.Errorf("two crews are called %q", c.Code)
		}
		codes[c.Code] = true
		for _, w := range c.Days {
			if w.Until < w.From || w.From < 0 || w.Until > 24*60 {
				return fmt.Errorf("crew %q: hours from minute %d to %d are no working day", c.Code, w.From, w.Until)
			}
		}
	}
	for _, p := range in.Promises {
		if p.Crew != "" && !codes[p.Crew] {
			return fmt.Errorf("the promise for %q names crew %q, which is not there", p.Serial, p.Crew)
		}
	}
	return nil
}

// setUp turns groups and crews into the problem of the search.
func (x *planner) setUp(units []candidate) {
	r := x.in.Rules
	x.p = &problem{minuteWorth: minuteWorth}
	for d := r.From; d < r.until(); d++ {
		x.days = append(x.days, d)
	}
	for i, c := range x.in.Crews {
		x.spots = append(x.spots, spot{name: c.Code, place: c.Home})
		for d, day := range x.days {
			if w, ok := x.in.works(&c, day); ok {
				x.p.routes = append(x.p.routes, route{
					crew: i, day: d, home: i, end: i,
					starts: float64(w.From), from: float64(w.From), until: float64(w.Until), most: most(c.MostMinutes),
				})
			}
		}
	}
	where := newLocator(units, r)
	index := map[string]int{}
	for i := range x.groups {
		g := &x.groups[i]
		key := g.units[0].site
		if _, ok := index[key]; !ok {
			index[key] = len(x.spots)
			x.spots = append(x.spots, where.spotOf(g.units))
		}
		g.spot = index[key]
		if g.units[0].line.Unit.Site == "" {
			x.spots[g.spot].name = ""
		}
	}
	x.limit()
	x.p.m = newMatrix(x.spots, x.in.Minutes, r)
	firsts{x}.plan()
	x.apart()
}

// apart makes the nodes. A stop of several units that fits in no day is taken
// apart, so that what fits of it is not lost with the rest.
func (x *planner) apart() {
	var kept []group
	empty := newState(x.p)
	for i := range x.groups {
		g := &x.groups[i]
		x.p.nodes = []node{x.node(g)}
		if len(g.units) == 1 || slices.ContainsFunc(allRoutes(x.p), func(r int) bool { return empty.cheapest(0, r).at >= 0 }) {
			kept = append(kept, *g)
			continue
		}
		for _, u := range g.units {
			one := groupOf([]candidate{u}, x.in.Rules)
			one.spot = g.spot
			kept = append(kept, one)
		}
	}
	x.groups, x.p.nodes = kept, nil
	for i := range x.groups {
		x.p.nodes = append(x.p.nodes, x.node(&x.groups[i]))
	}
}

func most(minutes int) float64 {
	if minutes <= 0 {
		return math.Inf(1)
	}
	return float64(minutes)
}

// limit leaves the stops worth least a minute on site out where there are more
// than the search takes.
func (x *planner) limit() {
	if len(x.groups) <= mostStops {
		return
	}
	rate := func(g *group) float64 {
		if g.must {
			return math.Inf(1)
		}
		return x.value(g, x.in.Rules.From) / g.onSite
	}
	slices.SortStableFunc(x.groups, func(a, b group) int {
		switch p, q := rate(&a), rate(&b); {
		case p > q:
			return -1
		case p < q:
			return 1
		}
		return 0
	})
	for i := range x.groups[mostStops:] {
		x.leave(&x.groups[mostStops+i], Cause{Kind: LeftBeyondMost})
	}
	x.groups = x.groups[:mostStops]
}

// works gives a crew's hours on a day.
func (in *Input) works(c *Crew, day day.Day) (Window, bool) {
	w := c.Days[day.Time().Weekday()]
	return w, w.Until > w.From && !slices.Contains(in.Rules.Holidays, day) && !slices.Contains(c.Away, day)
}

// open gives the hours of a site on a day; nil: always open.
func (in *Input) open(site string, day day.Day) (hours []Window, always bool) {
	for i := range in.Hours {
		h := &in.Hours[i]
		if h.Site != site {
			continue
		}
		if slices.Contains(h.Closed, day) {
			return nil, false
		}
		return h.Open[day.Time().Weekday()], false
	}
	return nil, true
}

// value is what a stop counts in the choice on a day.
func (x *planner) value(g *group, day day.Day) float64 {
	sum := 0.0
	for i := range g.units {
		sum += g.units[i].weighted(day, x.in.Rules)
	}
	return sum
}

// node makes a stop for the search.
func (x *planner) node(g *group) node {
	r := x.in.Rules
	n := node{spot: g.spot, onSite: g.onSite, value: make([]float64, len(x.days)), must: g.must, routes: make([]bool, len(x.p.routes))}
	low := 0.0
	for d, day := range x.days {
		v := x.value(g, day)
		low = math.Max(low, v)
		if g.must {
			v += mustWorth - latePerDay*float64(day-r.From)
		}
		if g.on != nil {
			v += promiseWorth
		}
		n.value[d] = v
	}
	enough := g.must || low >= r.LeastDays
	site := g.units[0].line.Unit.Site
	for _, d := range x.days {
		hours, always := x.in.open(site, d)
		if always {
			n.open = nil
			break
		}
		n.open = append(n.open, hours)
	}
	for k := range x.p.routes {
		n.routes[k] = enough && x.may(&x.p.routes[k], g)
	}
	return n
}

// may reports whether a crew may go to a stop on a day: for what it is able to, and
// for what is promised.
func (x *planner) may(t *route, g *group) bool {
	c := &x.in.Crews[t.crew]
	return mayWork(c, g.units) && (g.on == nil || g.on.Day == x.days[t.day] && (g.on.Crew == "" || g.on.Crew == c.Code))
}

// keepMust makes room for stops that have to be seen and found none: on a route
// that could take one if what need not be seen were left out, it is.
func (x *planner) keepMust(s *state) *state {
	for n := range x.p.nodes {
		if !x.p.nodes[n].must || s.where[n] >= 0 {
			continue
		}
		for r := range x.p.routes {
			old, gone := s.tours[r].clone(), []int(nil)
			gone = s.removeFrom(r, func(k int) bool { return !x.p.nodes[k].must })
			if in := s.cheapest(n, r); in.at >= 0 {
				s.insert(n, r, int(in.at))
				break
			}
			s.tours[r] = old
			for _, k := range gone {
				s.where[k] = r
			}
		}
	}
	newBoard(s).fill(nil)
	return s
}

// leave lists a stop's units as left over.
func (x *planner) leave(g *group, why Cause) {
	for i := range g.units {
		u := &g.units[i]
		x.left = append(x.left, Left{
			Line: u.line, GainDays: u.gainOn(x.in.Rules.From, x.in.Rules).days,
			Why: why, Must: u.why == HasToBeSeen || u.why == Promised,
		})
	}
}

// plan tells a state as days.
func (x *planner) plan(s *state) *Plan {
	r := x.in.Rules
	out := &Plan{AsOf: x.in.AsOf, From: r.From, Until: r.until(), Crews: x.in.Crews}
	for k := range x.p.routes {
		if len(s.tours[k].stops)+len(x.p.routes[k].first) > 0 {
			out.Days = append(out.Days, x.day(s, k))
		}
	}
	slices.SortStableFunc(out.Days, func(a, b CrewDay) int { return int(a.Day) - int(b.Day) })
	for n := range x.p.nodes {
		if s.where[n] < 0 {
			x.leave(&x.groups[n], x.reason(s, n))
		}
	}
	slices.SortStableFunc(x.left, func(a, b Left) int { return a.Line.Rank - b.Line.Rank })
	out.Left, out.Rules = x.left, r
	out.rests()
	return out
}

// day tells one route.
func (x *planner) day(s *state, k int) CrewDay {
	t, rt := &s.tours[k], &x.p.routes[k]
	c := &x.in.Crews[rt.crew]
	d := CrewDay{Crew: c.Code, Day: x.days[rt.day], Home: c.Home, DriveMinutes: t.minutes}
	firsts{x}.begin(&d, rt)
	now, at := rt.from, rt.home
	for i, n := range t.stops {
		v := &x.p.nodes[n]
		drive := x.p.m.at(at, v.spot)
		begin := x.p.begin(n, rt.day, now+drive)
		stop := x.stopOf(&x.groups[n], d.Day)
		stop.Arrive, stop.Begin, stop.Leave, stop.DriveMinutes = now+drive, begin, begin+v.onSite, drive
		stop.CostMinutes = v.onSite + s.leg(k, i-1, i) + s.leg(k, i, i+1) - s.joined(k, i)
		d.OnSiteMinutes += v.onSite
		d.Stops = append(d.Stops, stop)
		now, at = stop.Leave, v.spot
	}
	d.Back = now + x.p.m.at(at, rt.end)
	x.leaveLater(&d)
	return d
}

// leaveLater sets the start so that the crew does not wait at the first stop.
func (x *planner) leaveLater(d *CrewDay) {
	first := &d.Stops[0]
	if wait := math.Floor(first.Begin - first.Arrive); wait > 0 {
		d.Start += wait
		first.Arrive += wait
	}
}

// stopOf tells one stop's units.
func (x *planner) stopOf(g *group, day day.Day) Stop {
	u := &g.units[0].line.Unit
	s := Stop{Site: u.Site, Area: u.Area, Place: x.spots[g.spot].place, PlaceFrom: x.spots[g.spot].from}
	for i := range g.units {
		c := &g.units[i]
		gain := c.gainOn(day, x.in.Rules).days
		s.Visits = append(s.Visits, Visit{Line: c.line, Why: c.why, GainDays: gain, GainAssumed: c.assumed, Minutes: c.minutes})
		s.GainDays += gain
	}
	return s
}

// rests counts what a plan rests on beside records.
func (p *Plan) rests() {
	for _, d := range p.Days {
		for _, s := range d.Stops {
			if s.PlaceFrom != OwnPlace {
				p.StoodIn++
			}
			for _, v := range s.Visits {
				if v.GainAssumed {
					p.Assumed++
				}
			}
		}
	}
}
