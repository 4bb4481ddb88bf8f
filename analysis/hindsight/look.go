package hindsight

import (
	"context"
	"fmt"
	"math"

	"fluedrift/analysis"
	"fluedrift/analysis/estimate"
	"fluedrift/analysis/fleet"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Snapshot is a fleet as known on a day of its past, and the rules of that day.
type Snapshot struct {
	Day       day.Day
	Histories []*judge.History
	Rules     fleet.Options
}

// Way is a way to put units in order.
type Way int

// The ways, the model's first.
const (
	Model Way = iota // the probability of standing outside on the planned day
	Worst            // the probability the watchlist goes by: the worst day up to the planned one
	List             // the watchlist's whole order, groups and answers included
	DaysSince
	LastDeviation
	StraightLine
	Intervals // ordinary regression of change on time, vent and control
	Logistic  // on hand-made features
	ways      // how many there are
)

// hasChance reports whether a way gives probabilities too.
func (w Way) hasChance() bool { return w == Model || w == Intervals || w == Logistic }

// Case is a fire of a unit at an origin, and what the next visit found there.
type Case struct {
	Origin, VisitDay       day.Day
	Serial, Site, Area     string
	Fuel, Group            string
	Control                judge.Control
	Fire                   judge.Fire
	Routine                bool
	Behind                 bool // the unit had been visited since its newest known visit, and that was exported later
	Out                    bool
	Fresh                  bool          // read within freshDays of the analyzer's calibration
	Points, StepPoints     float64       // off the target as found, and the step it was shown in
	LowPoints, HighPoints  float64       // 90 % interval of the reading on that day
	Order                  [ways]float64 // known at the origin; larger stands higher
	Chance                 [ways]float64 // that the visit's reading shows outside; NaN where a way has none
	LeavingFrom, LeavingTo day.Day       // when it was expected to leave its band, day.None where open
	SetNotRecorded         bool          // the current segment has no reading: set, not recorded
}

// Origin is one look back.
type Origin struct {
	Day                               day.Day
	Units, Visited, WithFound, Listed int // listed: not removed; visited: within the horizon
	Routine                           int // of those with an as found
	Cases                             []Case
	Fleet                             *estimate.Fleet
	Trends                            []estimate.Note // what a fit without ageing says of calibrations, where it was made
}

// look takes the fleet back to a day: clips, estimates, orders, and compares with
// what was found. The histories are not changed.
func look(ctx context.Context, s Snapshot, o *Outcomes, horizonDays int32) (*Origin, error) {
	clipped := make([]*judge.History, len(s.Histories))
	for i, h := range s.Histories {
		clipped[i] = clip(h, s.Day, s.Rules.List.Judge.TargetOf)
	}
	s.Rules.Model.Brief, s.Rules.Model.Draws = true, 0 // no case asks for more
	judged, err := fleet.Judge(ctx, clipped, s.Rules)
	if err != nil {
		return nil, fmt.Errorf("look back to %s: %w", s.Day, err)
	}
	estimated, err := fleet.Estimate(ctx, judged)
	if err != nil {
		return nil, fmt.Errorf("look back to %s: %w", s.Day, err)
	}
	rules := judged.Rules.List
	lines := fleet.Assess(judged, estimated.Forecasts)
	places := map[int32]int{}
	for _, l := range fleet.Rank(judged, lines, nil) {
		places[l.Unit.Key] = l.Rank
	}
	simple := learn(clipped, s.Day, horizonDays, &rules.Judge)
	out := &Origin{Day: s.Day, Units: len(clipped), Fleet: estimated}
	var seen []*maker
	for i := range clipped {
		if lines[i].Removed {
			continue
		}
		out.Listed++
		next := o.after(clipped[i].Unit.Serial, s.Day, horizonDays)
		if next.Day == day.None {
			continue
		}
		out.Visited++
		if len(next.Found) == 0 {
			continue
		}
		out.WithFound++
		if next.routine() {
			out.Routine++
		}
		seen = append(seen, &maker{
			origin: out, h: clipped[i], line: &lines[i], index: i, next: next, simple: simple,
			place: places[lines[i].Unit.Key], rules: &rules.Judge,
		})
	}
	share(len(seen), s.Rules.Model.Workers, func() func(int) { return func(k int) { seen[k].make() } })
	for _, m := range seen {
		out.Cases = append(out.Cases, m.cases...)
	}
	return out, nil
}

// maker makes the cases of one unit.
type maker struct {
	origin *Origin
	h      *judge.History
	line   *watch.Line
	index  int
	next   Next
	simple *learned
	place  int
	rules  *judge.Config
	cases  []Case
}

func (m *maker) make() {
	for _, f := range m.next.Found {
		for _, s := range m.origin.Fleet.DisplayedAt(m.index, m.next.Day, f.StepPoints) {
			if s.Fire != f.Fire || math.IsNaN(s.Chance.Out()) {
				continue
			}
			m.cases = append(m.cases, m.one(f, s))
		}
	}
}

func (m *maker) one(f Found, s estimate.Displayed) Case {
	u := &m.h.Unit
	c := Case{
		Origin: m.origin.Day, VisitDay: m.next.Day, Serial: u.Serial, Site: u.Site, Area: u.Area, Fuel: u.Fuel, Control: u.Control,
		Group: m.line.Group.Words(), Fire: f.Fire, Routine: m.next.routine(),
		Out: f.Side == judge.Rich || f.Side == judge.Lean, Fresh: f.Fresh, Points: f.Points, StepPoints: f.StepPoints,
		LowPoints: s.LowPoints, HighPoints: s.HighPoints, LeavingFrom: day.None, LeavingTo: day.None,
	}
	for w := range c.Chance {
		c.Chance[w] = math.NaN()
	}
	c.Chance[Model] = s.Chance.Out()
	for i := range m.origin.Fleet.Forecasts[m.index].Fires {
		p := &m.origin.Fleet.Forecasts[m.index].Fires[i]
		if p.Fire == f.Fire {
			c.Order[Model] = p.Planned.Out()
			c.Order[Worst] = math.Max(p.Today.Out(), p.Worst.Out())
			c.LeavingFrom, c.LeavingTo = m.origin.Fleet.Leaving(m.index, f.Fire)
			c.SetNotRecorded = c.SetNotRecorded || p.Marked(analysis.MarkSetNotRecorded)
		}
	}
	c.Order[List] = -float64(m.place)
	c.Behind = m.next.Last > lastVisit(m.h)
	m.simple.fill(&c, pastOf(m.h, f.Fire, m.origin.Day, m.rules), max(m.line.PlannedDay, m.origin.Day))
	return c
}

// lastVisit is the day of the newest visit in the field on record, day.None without
// one.
func lastVisit(h *judge.History) day.Day {
	last := day.None
	for i := range h.Visits {
		if v := &h.Visits[i]; v.Reason != judge.FactoryTest && v.Day > last {
			last = v.Day
		}
	}
	return last
}
