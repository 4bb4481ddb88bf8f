package days

import (
	"math"
	"slices"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
	"fluedrift/model/day"
)

// What a visit is worth.
//
// A fire's deviation from its target on day t is taken as normal about
//
//	m(t) = m0 + r (t - t0) + A (s(t) - s(t0)),  s(t) = -cos(2 pi (t - coldest) / year)
//
// with m0 and the spread from the forecast of the as-of day t0, the rate r from
// the parts of it that grow with time, and the swing A of the season such that
// the probabilities the forecast gives for the worst month and the planned day
// come out; where they say nothing of it, the median of the list's units with the
// same burner control at that fire. Where the months ahead are given
// (FireForecast.Path) they take the place of m and the spread.
//
// Without a visit the probability of standing outside follows from m(t), moved by
// what the forecast's own probability for today is off it. A visit on day d sets
// the burner to the middle of its band, in the weather of that day: then the mean
// is m(t) - m(d), and the spread begins at half the setting band (19 of 20
// settings inside it) and grows to today's within the time today's took to grow.
// The worth is the sum of the differences over the days from d to the unit's
// next planned day. It is an approximation: fires of a unit are taken to leave
// their bands together, the spread of the forecast not to grow, and a visit to
// set what it finds.

// shareAfterVisit is the share of units without a forecast that are taken to
// stand outside after a visit.
const shareAfterVisit = 0.05

// stepDays is how fine days are summed.
const stepDays = 7

// worth is days outside avoided by side.
type worth struct{ rich, lean float64 }

func (w worth) days() float64 { return w.rich + w.lean }

// countedUntil is the day up to which a visit is counted: the planned day, or,
// where it has passed or falls within the weeks, the days such a unit is taken
// to go unseen if it is left over.
func countedUntil(l *watch.Line, r Rules) day.Day {
	if l.PlannedDay != day.None && l.PlannedDay >= r.until() {
		return l.PlannedDay
	}
	return r.From + day.Day(max(r.UnseenDays, 7*int32(r.Weeks)))
}

// worthOf is what a visit on a day is worth; guessed where no forecast says so.
func worthOf(l *watch.Line, fires []fireCourse, d day.Day, r Rules) (w worth, guessed bool) {
	until := countedUntil(l, r)
	if len(fires) == 0 {
		share, ok := r.UnknownShare[l.Tier]
		if !ok {
			share = r.UnknownShareOther
		}
		days := math.Max(share-shareAfterVisit, 0) * float64(until-d)
		if l.Side == watch.Rich {
			return worth{rich: days}, true
		}
		return worth{lean: days}, true
	}
	for t := d; t < until; t += stepDays {
		span := float64(min(stepDays, int32(until-t)))
		at := t + day.Day(min(stepDays, int32(until-t))/2)
		var before, after worth
		for i := range fires {
			before = larger(before, fires[i].without(at))
			after = larger(after, fires[i].with(at, d))
		}
		w.rich += span * (before.rich - after.rich)
		w.lean += span * (before.lean - after.lean)
	}
	if w.days() < 0 {
		return worth{}, false
	}
	return w, false
}

func larger(a, b worth) worth {
	if b.days() > a.days() {
		return b
	}
	return a
}

// fireCourse is one fire's deviation over time, CO2 points, rich positive.
type fireCourse struct {
	class      string // burner control and fire
	asOf       day.Day
	mean       float64 // on the as-of day
	ratePerDay float64
	swing      float64 // of the season; NaN: the forecast does not tell
	path       []analysis.PathPoint
	target     float64
	sd         float64 // of the deviation today
	elapsed    float64 // days since the last reading
	start      float64 // sd after a visit
	rich, lean float64 // widths of the action band
	off        worth   // today's chances less those of the normal
}

// courses takes the fires of all lines that have probabilities, and gives those
// whose swing is not told that of their class.
func courses(lines []watch.Line, asOf day.Day) [][]fireCourse {
	out := make([][]fireCourse, len(lines))
	swings := map[string][]float64{}
	for i := range lines {
		l := &lines[i]
		if l.Forecast == nil {
			continue
		}
		for k := range l.Forecast.Fires {
			f := &l.Forecast.Fires[k]
			if math.IsNaN(f.Today.Out()) || math.IsNaN(f.CO2Percent) {
				continue
			}
			c := courseOf(l, f, asOf)
			if !math.IsNaN(c.swing) {
				swings[c.class] = append(swings[c.class], c.swing)
			}
			out[i] = append(out[i], c)
		}
	}
	for class := range swings {
		slices.Sort(swings[class])
	}
	for i := range out {
		for k := range out[i] {
			c := &out[i][k]
			if all := swings[c.class]; math.IsNaN(c.swing) {
				c.swing = 0
				if len(all) > 0 {
					c.swing = all[len(all)/2]
				}
			}
		}
	}
	return out
}

func courseOf(l *watch.Line, f *analysis.FireForecast, asOf day.Day) fireCourse {
	c := fireCourse{
		class: l.Unit.Control + "|" + f.Fire, asOf: asOf, mean: f.CO2Percent - f.TargetCO2Percent, target: f.TargetCO2Percent,
		sd: halfWidth(f.LowPercent, f.HighPercent), rich: f.ActRichPercent, lean: f.ActLeanPercent, elapsed: 365, swing: math.NaN(),
	}
	c.start = math.Min(c.sd, setting(l, f)/2)
	for i := range l.Fires {
		if r := l.Fires[i].Reading; r != nil && l.Fires[i].Fire == f.Fire && asOf > r.Day {
			c.elapsed = math.Max(float64(asOf-r.Day), 1)
		}
	}
	moved := 0.0
	for _, p := range f.Parts {
		if (p.Kind == analysis.PartDrift || p.Kind == analysis.PartSlope) && !math.IsNaN(p.Points) {
			moved += p.Points
		}
	}
	if c.elapsed >= leastElapsed {
		c.ratePerDay = moved / c.elapsed
	}
	if len(f.Path) > 1 {
		c.path = f.Path
	}
	now := c.tails(c.mean, c.sd)
	c.off = worth{f.Today.Rich - now.rich, f.Today.Lean - now.lean}
	c.swing = c.swingFrom(f.Worst, f.Planned)
	return c
}

// leastElapsed is how many days a rate needs.
const leastElapsed = 90

// halfWidth is the standard deviation of a 90 % interval.
func halfWidth(low, high float64) float64 {
	sd := (high - low) / 2 / 1.6448536269514722
	if math.IsNaN(sd) || sd <= 0 {
		return 0.1
	}
	return sd
}

// season is the yearly course of the outdoor air between -1 on the coldest day
// and 1 half a year later; south of the equator the sign turns, which the swing
// takes up. The coldest day is 20 January (common practice, no source).
func season(day day.Day) float64 {
	return -math.Cos(2 * math.Pi * (float64(day) - 19) / 365.25)
}

// leastSeason is how far apart in season days must lie to tell a swing.
const leastSeason = 0.3

// swingFrom finds the swing that makes given chances come out; NaN where they
// tell nothing.
func (c *fireCourse) swingFrom(chances ...analysis.Chance) float64 {
	up, down := 0.0, 0.0
	for _, k := range chances {
		x := season(k.Day) - season(c.asOf)
		m, ok := c.meanOf(k)
		if math.Abs(x) < leastSeason || !ok {
			continue
		}
		up += x * (m - c.mean - c.ratePerDay*float64(k.Day-c.asOf))
		down += x * x
	}
	if down == 0 {
		return math.NaN()
	}
	return up / down
}

// meanOf is the mean deviation that goes with a chance; false where the chance
// is too near to none or all.
func (c *fireCourse) meanOf(k analysis.Chance) (float64, bool) {
	const least = 0.01
	switch {
	case k.Rich >= k.Lean && k.Rich > least && k.Rich < 1-least && !math.IsNaN(c.rich):
		return c.rich - c.sd*math.Sqrt2*math.Erfinv(1-2*k.Rich), true
	case k.Lean > k.Rich && k.Lean > least && k.Lean < 1-least && !math.IsNaN(c.lean):
		return -c.lean + c.sd*math.Sqrt2*math.Erfinv(1-2*k.Lean), true
	}
	return 0, false
}

// at is the mean deviation and its spread on a day if nobody comes.
func (c *fireCourse) at(day day.Day) (mean, sd float64) {
	if len(c.path) == 0 {
		return c.mean + c.ratePerDay*float64(day-c.asOf) + c.swing*(season(day)-season(c.asOf)), c.sd
	}
	i := 0
	for i < len(c.path)-2 && c.path[i+1].Day < day {
		i++
	}
	a, b := c.path[i], c.path[i+1]
	x := math.Min(1, math.Max(0, float64(day-a.Day)/float64(max(int32(b.Day-a.Day), 1))))
	return a.CO2Percent + x*(b.CO2Percent-a.CO2Percent) - c.target, halfWidth(a.LowPercent+x*(b.LowPercent-a.LowPercent), a.HighPercent+x*(b.HighPercent-a.HighPercent))
}

// setting is the narrower side of the setting band in CO2 points; half the
// action band where none is declared in CO2.
func setting(l *watch.Line, f *analysis.FireForecast) float64 {
	for i := range l.Fires {
		t := &l.Fires[i].Target
		if l.Fires[i].Fire != f.Fire || math.IsNaN(t.CO2Percent) {
			continue
		}
		if w := narrower(t.SetRich, t.SetLean); !math.IsNaN(w) {
			return w
		}
	}
	if w := narrower(f.ActRichPercent, f.ActLeanPercent); !math.IsNaN(w) {
		return w / 2
	}
	return 0.2
}

// narrower is the smaller of two widths of which either may be missing.
func narrower(a, b float64) float64 {
	switch {
	case math.IsNaN(a):
		return b
	case math.IsNaN(b):
		return a
	}
	return math.Min(a, b)
}

// without is the chance on a day if nobody comes.
func (c *fireCourse) without(day day.Day) worth {
	w := c.tails(c.at(day))
	return worth{unit(w.rich + c.off.rich), unit(w.lean + c.off.lean)}
}

// with is the chance on a day after a visit.
func (c *fireCourse) with(day, visit day.Day) worth {
	set, _ := c.at(visit)
	mean, _ := c.at(day)
	x := math.Min(1, float64(day-visit)/c.elapsed)
	sd := math.Sqrt(c.start*c.start + x*(c.sd*c.sd-c.start*c.start))
	return c.tails(mean-set, sd)
}

// tails are the chances of a normal deviation beyond either side of the band.
func (c *fireCourse) tails(mean, sd float64) (w worth) {
	if !math.IsNaN(c.rich) {
		w.rich = upper((c.rich - mean) / sd)
	}
	if !math.IsNaN(c.lean) {
		w.lean = upper((c.lean + mean) / sd)
	}
	return w
}

// upper is the standard normal probability of more than z.
func upper(z float64) float64 { return math.Erfc(z/math.Sqrt2) / 2 }

// unit keeps a probability between 0 and 1.
func unit(p float64) float64 { return math.Min(1, math.Max(0, p)) }
