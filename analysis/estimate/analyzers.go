package estimate

import (
	"sort"
	"strconv"

	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// Analyzer is one column of analyzer biases. Where a visit names no analyzer
// its technician stands in, and Standin is true.
type Analyzer struct {
	Name    string
	Standin bool
	Periods []Period

	NoiseRatio   float64 // of its noise variance to the others'
	Readings     int     // behind the ratio
	CurrentShare float64 // of the readings that the states of today are computed from
}

// Period is the time from one calibration to the next, or a calendar year where
// no calibration is recorded.
type Period struct {
	Calibrated day.Day // day.None: a calendar year
	Year       int
	Column     int

	// Reads is what the analyzer reads too high in the period, by the years since
	// its calibration; Known says whether the records tell anything of it.
	Reads drift.Line
	Known bool
	// FoundErrorPoints is what the calibration that ended the period found; NaN where
	// no certificate says.
	FoundErrorPoints float64
}

// instrument names what a reading was made with; "" is unknown.
type instrument struct {
	name    string
	standin bool
}

// period is a calibration period of an instrument.
type period struct {
	instrument
	calibrated day.Day
	year       int
}

// columns of instruments and their periods, in order of name and day.
type instruments struct {
	byYear    bool // calibrations count as not known: biases go by calendar year
	analyzers map[instrument]int
	periods   map[period]int
	list      []Analyzer
}

// instrumentOf names what a reading was made with.
func instrumentOf(h *judge.History, x *judge.Reading) instrument {
	v := &h.Visits[x.Visit]
	switch {
	case x.Analyzer != "":
		return instrument{name: x.Analyzer}
	case v.Analyzer != "":
		return instrument{name: v.Analyzer}
	case v.Technician != "":
		return instrument{name: v.Source + "/" + v.Technician, standin: true}
	}
	return instrument{}
}

func (c *instruments) periodOf(i instrument, x *judge.Reading) period {
	if d := c.calibrated(x); d != day.None {
		return period{i, d, 0}
	}
	return period{i, day.None, yearOf(x.Day)}
}

func yearOf(d day.Day) int { return d.Year() }

// calibrated is the day of the calibration a reading was made after, day.None where
// none counts.
func (c *instruments) calibrated(x *judge.Reading) day.Day {
	if c.byYear {
		return day.None
	}
	return x.Calibrated
}

// collectInstruments gives every instrument and period its column. The order is
// that of names and days, not that of the histories.
func collectInstruments(histories []*judge.History, holds func(*judge.Reading) bool, byYear bool) *instruments {
	c := &instruments{byYear: byYear, analyzers: map[instrument]int{}, periods: map[period]int{}}
	seen := map[period]bool{}
	for _, h := range histories {
		for i := range h.Readings {
			if x := &h.Readings[i]; holds(x) {
				if in := instrumentOf(h, x); in.name != "" {
					seen[c.periodOf(in, x)] = true
				}
			}
		}
	}
	all := make([]period, 0, len(seen))
	for p := range seen {
		all = append(all, p)
	}
	sort.Slice(all, func(i, j int) bool { return all[i].before(all[j]) })
	for n, p := range all {
		at, ok := c.analyzers[p.instrument]
		if !ok {
			at = len(c.list)
			c.analyzers[p.instrument] = at
			c.list = append(c.list, Analyzer{Name: p.name, Standin: p.standin})
		}
		c.periods[p] = n
		c.list[at].Periods = append(c.list[at].Periods, Period{Calibrated: p.calibrated, Year: p.year, Column: n})
	}
	return c
}

func (p period) before(q period) bool {
	switch {
	case p.standin != q.standin:
		return !p.standin
	case p.name != q.name:
		return p.name < q.name
	case p.calibrated != q.calibrated:
		return p.calibrated < q.calibrated
	}
	return p.year < q.year
}

// count returns how many periods there are.
func (c *instruments) count() int { return len(c.periods) }

// columns returns those of a reading; -1 where nothing names the instrument.
func (c *instruments) columns(h *judge.History, x *judge.Reading) (analyzer, cal int) {
	in := instrumentOf(h, x)
	if in.name == "" {
		return -1, -1
	}
	return c.analyzers[in], c.periods[c.periodOf(in, x)]
}

// ofVisit returns the columns of what a visit without a value was made with, and
// the calibration it followed; -1 and day.None where the records do not tell.
func (c *instruments) ofVisit(v *judge.Visit) (analyzer, cal int, calibrated day.Day) {
	at, ok := c.analyzers[instrument{name: v.Analyzer}]
	if v.Analyzer == "" || !ok {
		return -1, -1, day.None
	}
	cal, calibrated = -1, day.None
	for _, p := range c.list[at].Periods { // in order of days, calendar years first
		switch {
		case p.Calibrated == day.None && p.Year == yearOf(v.Day) && calibrated == day.None:
			cal = p.Column
		case p.Calibrated != day.None && p.Calibrated <= v.Day:
			cal, calibrated = p.Column, p.Calibrated
		}
	}
	return at, cal, calibrated
}

// Span names a period by how long it holds.
func (p Period) Span() string {
	if p.Calibrated == day.None {
		return strconv.Itoa(p.Year)
	}
	return "since " + iso(p.Calibrated)
}
