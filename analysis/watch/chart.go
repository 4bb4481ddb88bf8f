package watch

import (
	"math"
	"slices"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Chart is what a unit's history looks like, a panel a fire, over common days.
type Chart struct {
	From, To, AsOf day.Day
	Fires          []ChartFire
	Turns          []Turn
}

// Turn is a day from which the vent run or the fuel is another.
type Turn struct {
	Day  day.Day
	What string // "vent" or "fuel"
}

// ChartFire is one panel: CO2 in percent by volume of dry gas.
type ChartFire struct {
	Fire      judge.Fire
	Low, High float64 // the range that holds everything shown
	Dots      []Dot
	Bands     []BandSpan
	Fan       []analysis.PathPoint // from the as-of day on; one point where only that day is known
}

// Dot is one reading.
type Dot struct {
	Day        day.Day
	CO2Percent float64
	Condition  judge.Condition
}

// BandSpan is a target with its bands over half-open days; NaN where a side is
// not declared.
type BandSpan struct {
	From, Until             day.Day
	Target, SetLow, SetHigh float64
	ActLow, ActHigh         float64
}

// ChartOf puts a unit's picture together.
func ChartOf(h *judge.History, l *Line, r Config) Chart {
	c := Chart{AsOf: r.AsOf, From: r.AsOf, To: r.AsOf}
	var lines []*FireLine
	for i := range l.Fires {
		f := &l.Fires[i]
		if f.Fire == judge.Point {
			continue // rates differ from visit to visit: no line connects them
		}
		lines = append(lines, f)
		c.Fires = append(c.Fires, chartFire(h, f, r))
	}
	for i := range c.Fires {
		for _, d := range c.Fires[i].Dots {
			c.From = min(c.From, d.Day)
		}
		for _, p := range c.Fires[i].Fan {
			c.To = max(c.To, p.Day)
		}
	}
	for i := range c.Fires {
		c.Fires[i].close(h, lines[i], r, c.To)
	}
	for i, v := range h.VentRuns {
		if i > 0 && v.Known && h.VentRuns[i-1].Known && v.From <= r.AsOf && v.From > c.From {
			c.Turns = append(c.Turns, Turn{v.From, "vent"})
		}
	}
	for i := range h.Moves {
		if m := &h.Moves[i]; m.Day <= r.AsOf && m.Day > c.From {
			c.Turns = append(c.Turns, Turn{m.Day, "moved"})
		}
	}
	for i, f := range h.Fuels {
		if i > 0 && f.From <= r.AsOf && f.From > c.From {
			c.Turns = append(c.Turns, Turn{f.From, "fuel"})
		}
	}
	return c
}

// chartFire gathers the readings of a fire and the bands of their days.
func chartFire(h *judge.History, f *FireLine, r Config) ChartFire {
	out := ChartFire{Fire: f.Fire}
	fieldReadings(h, r.AsOf, func(x *judge.Reading) {
		if x.Fire != f.Fire || !hasGas(x) || r.Judge.NoBurner(x) {
			return
		}
		co2 := r.Judge.CO2(x)
		if math.IsNaN(co2) {
			return
		}
		out.Dots = append(out.Dots, Dot{x.Day, co2, x.Condition})
		out.span(x.Day, bandSpan(&x.Target, x.Fuel, r))
	})
	if p := f.Forecast; p != nil && !math.IsNaN(p.CO2Percent) {
		out.Fan = p.Path
		if len(out.Fan) == 0 {
			out.Fan = []analysis.PathPoint{{Day: r.AsOf, CO2Percent: p.CO2Percent, LowPercent: p.LowPercent, HighPercent: p.HighPercent}}
		}
	}
	return out
}

func bandSpan(t *judge.Target, fuel string, r Config) BandSpan {
	target := r.Judge.TargetCO2(t, fuel)
	set, act := r.Judge.Setting(t, fuel), judge.Band{}
	act, _ = r.Judge.Action(t, fuel)
	return BandSpan{
		Target: target,
		SetLow: target + set.Lean, SetHigh: target + set.Rich, ActLow: target + act.Lean, ActHigh: target + act.Rich,
	}
}

// span begins a band where it differs from the one before.
func (f *ChartFire) span(day day.Day, b BandSpan) {
	if n := len(f.Bands); n > 0 {
		last := f.Bands[n-1]
		if sameBand(last, b) {
			return
		}
		f.Bands[n-1].Until = day
	}
	b.From = day
	f.Bands = append(f.Bands, b)
}

func sameBand(a, b BandSpan) bool {
	same := func(x, y float64) bool { return x == y || math.IsNaN(x) && math.IsNaN(y) }
	return same(a.Target, b.Target) && same(a.SetLow, b.SetLow) && same(a.SetHigh, b.SetHigh) &&
		same(a.ActLow, b.ActLow) && same(a.ActHigh, b.ActHigh)
}

// close takes today's target to the end and finds the range.
func (f *ChartFire) close(h *judge.History, line *FireLine, r Config, to day.Day) {
	f.span(r.AsOf, bandSpan(&line.Target, h.Unit.Fuel, r))
	f.Bands[len(f.Bands)-1].Until = to
	var all []float64
	for _, d := range f.Dots {
		all = append(all, d.CO2Percent)
	}
	for _, b := range f.Bands {
		all = append(all, b.Target, b.SetLow, b.SetHigh, b.ActLow, b.ActHigh)
	}
	for _, p := range f.Fan {
		all = append(all, p.LowPercent, p.HighPercent)
	}
	all = slices.DeleteFunc(all, math.IsNaN)
	f.Bands = slices.DeleteFunc(f.Bands, func(b BandSpan) bool { return math.IsNaN(b.Target) || b.Until <= b.From })
	if len(all) == 0 {
		return
	}
	f.Low, f.High = math.Max(slices.Min(all)-0.1, 0), slices.Max(all)+0.1
}
