package days

import (
	"fmt"
	"math"
	"slices"

	"fluedrift/model/day"
)

// check holds a plan against the input it was made from, without what the
// search reckoned: hours, open hours, areas, what a crew may work on, promises,
// units once each, drives as long as they take, and nothing that has to be seen
// left out while something that need not be seen could make room for it. It
// returns what is broken.
func check(in Input, p *Plan) (broken []error) {
	c := &checker{in: &in, seen: map[string]day.Day{}}
	units, _ := candidates(&in)
	c.where = newLocator(units, in.Rules)
	c.units = units
	for i := range p.Days {
		c.day(&p.Days[i])
	}
	c.promises()
	c.must(p)
	return c.broken
}

// checker gathers what is broken.
type checker struct {
	in     *Input
	where  *locator
	units  []candidate
	seen   map[string]day.Day // day by serial
	crewOn map[string]bool
	broken []error
}

func (c *checker) breaks(rule error) { c.broken = append(c.broken, rule) }

// day checks one crew's day.
func (c *checker) day(d *CrewDay) {
	if c.crewOn == nil {
		c.crewOn = map[string]bool{}
	}
	at := fmt.Sprintf("crew %s on %s", d.Crew, d.Day.Time().Format("2006-01-02"))
	if c.crewOn[at] {
		c.breaks(fmt.Errorf("%s is planned twice", at))
	}
	c.crewOn[at] = true
	i := slices.IndexFunc(c.in.Crews, func(x Crew) bool { return x.Code == d.Crew })
	if i < 0 {
		c.breaks(fmt.Errorf("%s: there is no such crew", at))
		return
	}
	crew := &c.in.Crews[i]
	w, works := c.in.works(crew, d.Day)
	if !works || d.Day < c.in.Rules.From || d.Day >= c.in.Rules.until() {
		c.breaks(fmt.Errorf("%s: does not work", at))
	}
	if d.Start < float64(w.From)-slack || d.Back > float64(w.Until)+slack {
		c.breaks(fmt.Errorf("%s: from %.1f to %.1f is outside its hours %d to %d", at, d.Start, d.Back, w.From, w.Until))
	}
	if crew.MostMinutes == 0 { // a limit may leave a place only the way past another
		c.urgentBefore(at, d)
	}
	now, from, driven := d.Start, spot{name: crew.Code, place: crew.Home}, 0.0
	for k := range d.Stops {
		s := &d.Stops[k]
		to := c.spotOf(s)
		m := c.minutes(from, to)
		driven += m
		if s.Arrive < now+m-slack {
			c.breaks(fmt.Errorf("%s: arrives at %q at %.1f, %.1f minutes away from where it left at %.1f", at, s.Site, s.Arrive, m, now))
		}
		c.stop(at, crew, d.Day, s)
		now, from = s.Leave, to
	}
	back := c.minutes(from, spot{name: crew.Code, place: crew.Home})
	driven += back
	if d.Back < now+back-slack {
		c.breaks(fmt.Errorf("%s: is back at %.1f, %.1f minutes after leaving at %.1f", at, d.Back, back, now))
	}
	if crew.MostMinutes > 0 && driven > float64(crew.MostMinutes)+slack {
		c.breaks(fmt.Errorf("%s: drives %.1f minutes of %d at most", at, driven, crew.MostMinutes))
	}
}

// slack is what sums of minutes may be off.
const slack = 1e-6

// stop checks one stop.
func (c *checker) stop(at string, crew *Crew, day day.Day, s *Stop) {
	if s.Begin < s.Arrive-slack || s.Leave < s.Begin+c.in.Rules.ArriveMinutes-slack || len(s.Visits) == 0 {
		c.breaks(fmt.Errorf("%s: the times at %q do not follow each other", at, s.Site))
	}
	hours, always := c.in.open(s.Site, day)
	if !always && !slices.ContainsFunc(hours, func(w Window) bool {
		return s.Begin >= float64(w.From)-slack && s.Leave <= float64(w.Until)+slack
	}) {
		c.breaks(fmt.Errorf("%s: %q is not open from %.1f to %.1f", at, s.Site, s.Begin, s.Leave))
	}
	for i := range s.Visits {
		v := &s.Visits[i]
		k := slices.IndexFunc(c.units, func(u candidate) bool { return u.line.Unit.Serial == v.Line.Unit.Serial })
		if k < 0 {
			c.breaks(fmt.Errorf("%s: unit %q is not to be planned", at, v.Line.Unit.Serial))
			continue
		}
		u := c.units[k]
		if !mayWork(crew, []candidate{u}) {
			c.breaks(fmt.Errorf("%s: must not go to unit %q in area %q", at, v.Line.Unit.Serial, v.Line.Unit.Area))
		}
		if u.promise != nil && u.promise.Crew != "" && u.promise.Crew != crew.Code {
			c.breaks(fmt.Errorf("%s: unit %q is promised by crew %s", at, v.Line.Unit.Serial, u.promise.Crew))
		}
		if before, ok := c.seen[v.Line.Unit.Serial]; ok {
			c.breaks(fmt.Errorf("%s: unit %q is seen before, on day %d", at, v.Line.Unit.Serial, before))
		}
		c.seen[v.Line.Unit.Serial] = day
	}
}

// spotOf finds where a stop is, as the plan had to.
func (c *checker) spotOf(s *Stop) spot {
	own := slices.IndexFunc(c.units, func(u candidate) bool { return u.line == s.Visits[0].Line })
	if own < 0 {
		return spot{name: s.Site, place: s.Place}
	}
	to := c.where.spotOf(c.units[own : own+1])
	to.name = s.Site
	return to
}

// minutes is the drive between two spots by the table, else by coordinates.
func (c *checker) minutes(a, b spot) float64 {
	back := math.NaN()
	for _, x := range c.in.Minutes {
		if x.From == a.name && x.To == b.name {
			return x.Minutes
		}
		if x.From == b.name && x.To == a.name {
			back = x.Minutes
		}
	}
	if !math.IsNaN(back) {
		return back
	}
	return drive(a, b, c.in.Rules)
}

// promises sees that what is planned is on the day promised.
func (c *checker) promises() {
	for i := range c.units {
		u := &c.units[i]
		if day, ok := c.seen[u.line.Unit.Serial]; ok && u.promise != nil && day != u.promise.Day {
			c.breaks(fmt.Errorf("unit %q is promised for day %d and planned for %d", u.line.Unit.Serial, u.promise.Day, day))
		}
	}
}

// must sees that what has to be seen is planned, or is among those left over
// with a reason, and that no route could have taken it in place of what need not
// be seen.
func (c *checker) must(p *Plan) {
	left := map[string]bool{}
	for _, l := range p.Left {
		left[l.Line.Unit.Serial] = l.Why.Kind != InPlan
	}
	for i := range c.units {
		u := &c.units[i]
		serial := u.line.Unit.Serial
		if _, ok := c.seen[serial]; ok {
			if left[serial] {
				c.breaks(fmt.Errorf("unit %q is both planned and left over", serial))
			}
			continue
		}
		if !left[serial] {
			c.breaks(fmt.Errorf("unit %q is neither planned nor left over with a reason", serial))
		}
		if u.why == HasToBeSeen || u.why == Promised {
			c.couldMakeRoom(p, u)
		}
	}
}

// couldMakeRoom looks for a day that could hold a unit by itself, beside what
// has to be seen on it.
func (c *checker) couldMakeRoom(p *Plan, u *candidate) {
	g := groupOf([]candidate{*u}, c.in.Rules)
	for i := range c.in.Crews {
		crew := &c.in.Crews[i]
		for day := c.in.Rules.From; day < c.in.Rules.until(); day++ {
			w, works := c.in.works(crew, day)
			promised := u.promise == nil || day == u.promise.Day && (u.promise.Crew == "" || u.promise.Crew == crew.Code)
			if !works || !promised || !mayWork(crew, g.units) {
				continue
			}
			if hasMust(p, crew.Code, day) {
				continue
			}
			to := c.where.spotOf(g.units)
			home := spot{name: crew.Code, place: crew.Home}
			arrive := float64(w.From) + c.minutes(home, to)
			hours, always := c.in.open(u.line.Unit.Site, day)
			if always {
				hours = []Window{{0, 24 * 60}}
			}
			for _, h := range hours {
				begin := math.Max(arrive, float64(h.From))
				if begin+g.onSite <= float64(h.Until) && begin+g.onSite+c.minutes(to, home) <= float64(w.Until) && crew.MostMinutes == 0 {
					c.breaks(fmt.Errorf("unit %q has to be seen and is left over, though crew %s could go on day %d", u.line.Unit.Serial, crew.Code, day))
					return
				}
			}
		}
	}
}

// hasMust reports whether a crew's day holds anything that has to be seen.
func hasMust(p *Plan, crew string, day day.Day) bool {
	for i := range p.Days {
		d := &p.Days[i]
		if d.Crew != crew || d.Day != day {
			continue
		}
		for k := range d.Stops {
			if slices.ContainsFunc(d.Stops[k].Visits, func(v Visit) bool { return v.Why == HasToBeSeen || v.Why == Promised }) {
				return true
			}
		}
	}
	return false
}
