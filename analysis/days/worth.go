package days

import (
	"math"
	"slices"

	"fluedrift/analysis"
	"fluedrift/analysis/watch"
)

// What a visit is worth.
//
// Without a visit a unit stands outside its action band on day t with the
// probability its forecast gives: for today, the worst month and the planned
// day, straight lines between, and beyond the last of them moved on by the
// unit's drift. With a visit on day d the burner is set to the middle of its
// band: its deviation s days later is taken as normal, with the mean the same
// drift makes of s days, and a spread that begins at half the setting band (19
// of 20 settings inside it) and grows to today's within the time it took today's
// to grow. The worth is the sum of the difference over the days from d to the
// unit's next planned day. It is an approximation: season and the change of
// slope after a visit are left out, the fires of a unit are taken to leave
// their bands together, and a visit is taken to set what it finds. Where the
// months ahead are given (FireForecast.Path) they take the place of the
// straight lines.

// Parts of a forecast that grow with time; the forecast's own words.
const (
	partDrift = "drift of units like it since"
	partSlope = "the unit's own slope since"
)

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
func countedUntil(l *watch.Line, r Rules) int32 {
	if l.PlannedDay != noDay && l.PlannedDay >= r.Until() {
		return l.PlannedDay
	}
	return r.From + max(r.UnseenDays, 7*int32(r.Weeks))
}

// worthOf is what a visit on a day is worth; guessed where no forecast says so.
func worthOf(l *watch.Line, day, asOf int32, r Rules) (w worth, guessed bool) {
	fires := firesOf(l, asOf)
	until := countedUntil(l, r)
	if len(fires) == 0 {
		share, ok := r.UnknownShare[l.Tier]
		if !ok {
			share = r.UnknownShareOther
		}
		days := math.Max(share-shareAfterVisit, 0) * float64(until-day)
		if l.Side == watch.Rich {
			return worth{rich: days}, true
		}
		return worth{lean: days}, true
	}
	for t := day; t < until; t += stepDays {
		span := float64(min(stepDays, until-t))
		at := t + min(stepDays, until-t)/2
		var before, after worth
		for i := range fires {
			before = larger(before, fires[i].without(at))
			after = larger(after, fires[i].with(at-day))
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

// fireCourse is one fire's chances over time. Deviations are CO2 points off
// target, rich positive.
type fireCourse struct {
	known      []analysis.Chance // by day, the as-of day first
	mean       float64           // deviation on the last known day
	ratePerDay float64
	sd         float64 // of the deviation today
	elapsed    float64 // days since the last reading
	start      float64 // sd after a visit
	rich, lean float64 // widths of the action band
}

// firesOf takes the fires that have probabilities.
func firesOf(l *watch.Line, asOf int32) []fireCourse {
	var out []fireCourse
	if l.Forecast == nil {
		return nil
	}
	for i := range l.Forecast.Fires {
		f := &l.Forecast.Fires[i]
		if math.IsNaN(f.Today.Out()) || math.IsNaN(f.CO2Percent) {
			continue
		}
		out = append(out, courseOf(l, f, asOf))
	}
	return out
}

func courseOf(l *watch.Line, f *analysis.FireForecast, asOf int32) fireCourse {
	c := fireCourse{sd: (f.HighPercent - f.LowPercent) / 2 / 1.6448536269514722, rich: f.ActRichPercent, lean: f.ActLeanPercent, elapsed: 365}
	if math.IsNaN(c.sd) || c.sd <= 0 {
		c.sd = 0.1
	}
	c.start = math.Min(c.sd, setting(l, f)/2)
	for i := range l.Fires {
		if r := l.Fires[i].Reading; r != nil && l.Fires[i].Fire == f.Fire && asOf > r.Day {
			c.elapsed = math.Max(float64(asOf-r.Day), 1)
		}
	}
	moved := 0.0
	for _, p := range f.Parts {
		if (p.Name == partDrift || p.Name == partSlope) && !math.IsNaN(p.Points) {
			moved += p.Points
		}
	}
	if c.elapsed >= 90 { // over fewer days a rate says nothing
		c.ratePerDay = moved / c.elapsed
	}
	today := f.CO2Percent - f.TargetCO2Percent
	c.known = []analysis.Chance{f.Today}
	if len(f.Path) > 1 {
		for _, p := range f.Path[1:] {
			sd := (p.HighPercent - p.LowPercent) / 2 / 1.6448536269514722
			w := c.tails(p.CO2Percent-f.TargetCO2Percent, sd)
			c.known = append(c.known, analysis.Chance{Day: p.Day, Rich: w.rich, Lean: w.lean})
		}
	} else {
		for _, k := range []analysis.Chance{f.Worst, f.Planned} {
			if k.Day > c.known[len(c.known)-1].Day && !math.IsNaN(k.Out()) {
				c.known = append(c.known, k)
			}
		}
	}
	slices.SortStableFunc(c.known, func(a, b analysis.Chance) int { return int(a.Day) - int(b.Day) })
	c.mean = today + c.ratePerDay*float64(c.known[len(c.known)-1].Day-asOf)
	return c
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
func (c *fireCourse) without(day int32) worth {
	last := c.known[len(c.known)-1]
	if day >= last.Day {
		base := c.tails(c.mean, c.sd)
		on := c.tails(c.mean+c.ratePerDay*float64(day-last.Day), c.sd)
		return worth{unit(last.Rich + on.rich - base.rich), unit(last.Lean + on.lean - base.lean)}
	}
	for i := 1; i < len(c.known); i++ {
		a, b := c.known[i-1], c.known[i]
		if day < b.Day {
			x := math.Max(0, float64(day-a.Day)/float64(b.Day-a.Day))
			return worth{a.Rich + x*(b.Rich-a.Rich), a.Lean + x*(b.Lean-a.Lean)}
		}
	}
	return worth{last.Rich, last.Lean}
}

// with is the chance so many days after a visit.
func (c *fireCourse) with(after int32) worth {
	x := math.Min(1, float64(after)/c.elapsed)
	sd := math.Sqrt(c.start*c.start + x*(c.sd*c.sd-c.start*c.start))
	return c.tails(c.ratePerDay*float64(after), sd)
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
