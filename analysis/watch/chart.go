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
	From, To, AsOf, Planned day.Day // Planned: day.None without one
	Fires                   []ChartFire
	Turns                   []Turn
	CO                      []CODot
	// AttentionPPM and UrgentPPM are the configured levels of CO air-free.
	AttentionPPM, UrgentPPM float64
}

// Turn is a day from which the vent run, the fuel or the place is another.
type Turn struct {
	Day       day.Day
	Uncertain day.Day // the last day before it where its day is not known, else day.None
	What      string  // "vent", "fuel" or "moved"
}

// ChartFire is one panel: CO2 in percent by volume of dry gas.
type ChartFire struct {
	Fire  judge.Fire
	Dots  []Dot
	Bands []BandSpan
	Fan   []analysis.PathPoint // from the as-of day on; one point where only that day is known
}

// Dot is one reading.
type Dot struct {
	Day        day.Day
	CO2Percent float64
	Condition  judge.Condition
	Visit      int  // readings of one visit have one number
	Out        bool // beyond the action limits of its day
	LeftOut    bool // of the fit
}

// CODot is the highest CO of a visit's fires under one condition.
type CODot struct {
	Day       day.Day
	PPM       float64 // air-free
	Condition judge.Condition
}

// BandSpan is a target with its bands over half-open days, CO2 percent; NaN where a
// side is not declared.
type BandSpan struct {
	From, Until             day.Day
	Target, SetLow, SetHigh float64
	ActLow, ActHigh         float64
}

// ChartOf puts a unit's picture together.
func ChartOf(h *judge.History, l *Line, r Config) Chart {
	c := Chart{
		AsOf: r.AsOf, From: r.AsOf, To: r.AsOf, Planned: l.PlannedDay, AttentionPPM: r.COAttentionPPM, UrgentPPM: r.COUrgentPPM,
	}
	for i := range l.Fires {
		if f := &l.Fires[i]; f.Fire != judge.Point { // rates differ from visit to visit: no line connects them
			c.Fires = append(c.Fires, chartFire(h, f, l.judged, r))
		}
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
		c.Fires[i].close(c.To)
	}
	c.CO = chartCO(h, r)
	c.Turns = chartTurns(h, r, c.From)
	return c
}

// chartTurns lists the changes of place, vent run and fuel after a day.
func chartTurns(h *judge.History, r Config, from day.Day) (turns []Turn) {
	add := func(what string, on, uncertain day.Day) {
		if on <= r.AsOf && on > from {
			turns = append(turns, Turn{on, uncertain, what})
		}
	}
	for i, v := range h.VentRuns {
		if i > 0 && v.Known && h.VentRuns[i-1].Known {
			add("vent", v.From, v.UncertainFrom)
		}
	}
	for i := range h.Moves {
		add("moved", h.Moves[i].Day, h.Moves[i].After)
	}
	for i, f := range h.Fuels {
		if i > 0 {
			add("fuel", f.From, f.UncertainFrom)
		}
	}
	return turns
}

// chartCO lists the highest CO of each visit and condition whose value is known.
func chartCO(h *judge.History, r Config) (dots []CODot) {
	type taken struct {
		visit     int
		day       day.Day
		condition judge.Condition
	}
	at := map[taken]int{}
	fieldReadings(h, r.AsOf, func(x *judge.Reading) {
		co := coOf(x, r)
		if math.IsNaN(co.AirFreePPM) || co.NoBurner {
			return
		}
		key := taken{x.Visit, x.Day, x.Condition}
		if i, ok := at[key]; ok {
			dots[i].PPM = max(dots[i].PPM, co.AirFreePPM)
			return
		}
		at[key] = len(dots)
		dots = append(dots, CODot{x.Day, co.AirFreePPM, x.Condition})
	})
	return dots
}

// chartFire gathers the readings of a fire and the bands of their days.
func chartFire(h *judge.History, f *FireLine, j *judge.Judgement, r Config) ChartFire {
	out := ChartFire{Fire: f.Fire}
	for i := range h.Readings {
		x := &h.Readings[i]
		if !chartable(h, x, r) || x.Fire != f.Fire {
			continue
		}
		b := bandSpan(&x.Target, x.Fuel, r)
		co2 := r.Judge.CO2(x)
		out.Dots = append(out.Dots, Dot{
			Day: x.Day, CO2Percent: co2, Condition: x.Condition, Visit: x.Visit,
			Out:     b.out(co2),
			LeftOut: j != nil && j.Uses[i] == judge.LeftOut,
		})
		out.span(x.Day, b)
	}
	out.span(r.AsOf, f.Bands)
	if p := f.Forecast; p != nil && !math.IsNaN(p.CO2Percent) {
		out.Fan = p.Path
		if len(out.Fan) == 0 {
			out.Fan = []analysis.PathPoint{{Day: r.AsOf, CO2Percent: p.CO2Percent, LowPercent: p.LowPercent, HighPercent: p.HighPercent}}
		}
	}
	return out
}

// chartable reports whether a reading of the unit in the field has a CO2 of a burner
// at work.
func chartable(h *judge.History, x *judge.Reading, r Config) bool {
	return x.Day <= r.AsOf && !isFactory(h, x) && !ofEarlierInstall(h, x.Day) && hasGas(x) && !r.Judge.NoBurner(x) &&
		!math.IsNaN(r.Judge.CO2(x))
}

func bandSpan(t *judge.Target, fuel string, r Config) BandSpan {
	target := r.Judge.TargetCO2(t, fuel)
	set := r.Judge.Setting(t, fuel)
	act, _ := r.Judge.Action(t, fuel)
	return BandSpan{
		Target: target,
		SetLow: target + set.Lean, SetHigh: target + set.Rich, ActLow: target + act.Lean, ActHigh: target + act.Rich,
	}
}

// out reports whether a CO2 lies beyond the action limits.
func (b BandSpan) out(co2 float64) bool { return co2 < b.ActLow-rounding || co2 > b.ActHigh+rounding }

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

// close takes today's target to the end, and drops spans without a target.
func (f *ChartFire) close(to day.Day) {
	f.Bands[len(f.Bands)-1].Until = to
	f.Bands = slices.DeleteFunc(f.Bands, func(b BandSpan) bool { return math.IsNaN(b.Target) || b.Until < b.From })
}
