package hindsight

import (
	"math"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// past is what a planner without a model has of one fire up to a day.
type past struct {
	day       day.Day // looked from
	last      float64 // newest deviation, points; 0 where there is none
	lastDay   day.Day // of it; day.None
	found     bool    // the newest was an as found
	visit     day.Day // last visit in the field
	slope     float64 // points a year, of the unit's own intervals; 0 without one
	intervals float64 // years they cover
	age       float64 // years, 0 where not known
	vent      float64 // length over the longest run, 0.3 where not known
	control   judge.Control
	band      judge.Band
	steps     []interval
	abs       float64 // mean of the sizes of earlier as founds, points
	founds    float64 // how many
}

// interval is one change from a reading to the next as found.
type interval struct {
	from, until day.Day
	was, now    float64
}

const daysPerYear = 365.25

// pastOf reads the credible readings of a fire up to a day, in order. Of several
// as-found readings of which nobody knows the first their mean counts, and what was
// read before a move says nothing of the setting after it.
func pastOf(h *judge.History, fire judge.Fire, on day.Day, rules *judge.Config) past {
	p := past{day: on, lastDay: day.None, visit: day.None, control: h.Unit.Control, vent: 0.3}
	for i := range h.Visits {
		if v := &h.Visits[i]; v.Day <= on && v.Reason != judge.FactoryTest && v.Day > p.visit {
			p.visit = v.Day
		}
	}
	if h.Unit.Installed != day.None && h.Unit.Installed <= on {
		p.age = float64(on-h.Unit.Installed) / daysPerYear
	}
	longest := math.NaN()
	for _, t := range h.Targets {
		if t.Fire == fire {
			p.band, _ = rules.Action(&t.Target, h.Unit.Fuel)
			longest = t.Target.LongestRunM
		}
	}
	for i := range h.VentRuns {
		if r := &h.VentRuns[i]; r.LengthM/longest > 0 {
			p.vent = math.Min(r.LengthM/longest, 2)
		}
	}
	change := 0.0
	for i := range h.Readings {
		x := &h.Readings[i]
		if x.Fire != fire || x.Day > on || x.Condition == judge.Between || h.Visits[x.Visit].Reason == judge.FactoryTest {
			continue
		}
		d := rules.Deviation(x)
		if tied := h.Tied(x); tied != nil {
			if tied[0] != x {
				continue
			}
			d = rules.MeanDeviation(tied)
		}
		if math.IsNaN(d) || math.Abs(d) > implausible {
			continue
		}
		if x.Condition == judge.AsFound {
			if p.lastDay != day.None && x.Day > p.lastDay && !h.MovedBetween(p.lastDay, x.Day) {
				p.steps = append(p.steps, interval{p.lastDay, x.Day, p.last, d})
				change, p.intervals = change+d-p.last, p.intervals+float64(x.Day-p.lastDay)/daysPerYear
			}
			p.abs, p.founds = p.abs+math.Abs(d), p.founds+1
		}
		p.last, p.lastDay, p.found = d, x.Day, x.Condition == judge.AsFound
	}
	if p.lastDay != day.None && h.Elsewhere(p.lastDay, on) {
		p.last, p.lastDay, p.found = 0, day.None, false
	}
	if p.intervals > 0 {
		p.slope = change / p.intervals
	}
	if p.founds > 0 {
		p.abs /= p.founds
	}
	return p
}

// implausible is a deviation nobody plans by, points: a wrong fuel or a slip.
const implausible = 2.5

// since is the time from the newest reading to a day, years; five where there is
// none.
func (p *past) since(d day.Day) float64 {
	if p.lastDay == day.None {
		return 5
	}
	return float64(d-p.lastDay) / daysPerYear
}

// over is a deviation in widths of its side of the action band.
func (p *past) over(points float64) float64 {
	v := math.Inf(-1)
	if p.band.Rich > 0 {
		v = points / p.band.Rich
	}
	if p.band.Lean < 0 {
		v = math.Max(v, points/p.band.Lean)
	}
	if math.IsInf(v, -1) {
		return 0
	}
	return v
}
