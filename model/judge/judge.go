package judge

import (
	"math"
	"sort"
)

// Use says what a reading is good for. It concerns the fit and the state of
// the unit that a forecast starts from; it never takes a unit off a list.
type Use uint8

// Uses of a reading, from good to none.
const (
	Used      Use = iota // stands in the fit and may be the unit's state
	Marked               // likewise, with a finding to know of
	StateOnly            // left out of the fit, may be the unit's state
	LeftOut              // left out of the fit and of the state
)

// String returns the use in words.
func (u Use) String() string {
	return [...]string{"used", "marked", "left out of the fit", "left out of the fit"}[u]
}

// Judgement is what a unit's history is good for.
type Judgement struct {
	Uses     []Use // one a reading of the history
	Findings []Finding
}

// Judge judges every reading of one unit. The history must be in order (see
// History); it is not changed. Values taken between (while setting) and
// readings without CO2 and O2 are left out without a finding, those without a
// burner at work with one, and none of these is a yardstick for others. Findings
// come by kind, then by reading.
//
// Judge is a function of its arguments alone: other units do not matter.
func Judge(h *History, r Config) Judgement {
	c := &checker{h: h, r: &r, uses: make([]Use, len(h.Readings))}
	for i := range h.Readings {
		x := &h.Readings[i]
		if x.Condition == Between || math.IsNaN(x.CO2Percent) && math.IsNaN(x.O2Percent) {
			c.lower(i, LeftOut)
		}
	}
	c.noBurner()
	all := c.seriesOf(h)
	pairCheck{c}.pairs(all)
	for _, s := range all {
		s.usual = c.usualOf(s)
	}
	swapCheck{c}.swappedFires(all)
	for _, s := range all {
		usualCheck{c}.againstUsual(s)
		measureCheck{c}.coBases(s)
		measureCheck{c}.moved(s)
		dateCheck{c}.dates(s)
		repeatCheck{c}.doubles(s)
		limitCheck{c}.limits(s)
		repeatCheck{c}.copiedVisits(s)
		repeatCheck{c}.copiedAsLefts(s)
		repeatCheck{c}.tiedFounds(s)
		limitCheck{c}.farAsLefts(s)
		labelCheck{c}.fuelLabels(s)
	}
	sort.SliceStable(c.findings, func(i, j int) bool {
		f, g := &c.findings[i], &c.findings[j]
		if f.Kind != g.Kind {
			return f.Kind < g.Kind
		}
		return f.Readings[0] < g.Readings[0]
	})
	return Judgement{Uses: c.uses, Findings: c.findings}
}

// checker is one history on the way to its judgement: what the checks of all
// kinds share. A check of one kind embeds it.
type checker struct {
	h        *History
	r        *Config
	uses     []Use
	findings []Finding
	wrong    map[int]bool // readings whose gas is explained to be wrong in the record
	idle     map[int]bool // readings without a burner at work
	scratch  []float64
}

// lower takes a reading down to a use, never up.
func (c *checker) lower(i int, u Use) {
	if u > c.uses[i] {
		c.uses[i] = u
	}
}

// explain notes that a reading's gas is wrong in the record.
func (c *checker) explain(i int) {
	if c.wrong == nil {
		c.wrong = map[int]bool{}
	}
	c.wrong[i] = true
}

// series is the readings of one fire (and, where a fire is a point, of one
// rate) in order, and where each of its visits begins. Visit k is
// order[starts[k]:starts[k+1]].
type series struct {
	fire   Fire
	order  []int
	starts []int
	usual  usual
}

// visits returns the number of visits.
func (s *series) visits() int { return len(s.starts) - 1 }

// visit returns the readings of the k-th visit.
func (s *series) visit(k int) []int { return s.order[s.starts[k]:s.starts[k+1]] }

// seriesOf parts a history by fire, without what was read with no burner at work.
func (c *checker) seriesOf(h *History) []*series {
	var all []*series
	for i := range h.Readings {
		if c.idle[i] {
			continue
		}
		x := &h.Readings[i]
		s := find(h, all, x)
		if s == nil {
			s = &series{fire: x.Fire, order: make([]int, 0, len(h.Readings)-i)}
			all = append(all, s)
		}
		n := len(s.order)
		if n == 0 || h.Readings[s.order[n-1]].Visit != x.Visit {
			s.starts = append(s.starts, n)
		}
		s.order = append(s.order, i)
	}
	for _, s := range all {
		s.starts = append(s.starts, len(s.order))
	}
	return all
}

// find returns the series a reading belongs to, nil where it opens one.
func find(h *History, all []*series, x *Reading) *series {
	for _, s := range all {
		first := &h.Readings[s.order[0]]
		if s.fire == x.Fire && (x.Fire != Point || same(first.RatePercent, x.RatePercent)) {
			return s
		}
	}
	return nil
}

// first returns the visit's first reading of a condition that has a gas value,
// -1 where there is none.
func (c *checker) first(visit []int, condition Condition) int {
	for _, i := range visit {
		x := &c.h.Readings[i]
		if x.Condition == condition && (!math.IsNaN(x.CO2Percent) || !math.IsNaN(x.O2Percent)) {
			return i
		}
	}
	return -1
}

// adjusted reports whether a burner was set at a visit: recorded so, or as found and as
// left differ; unless recorded as not, also where no as-found reading was written down,
// because nobody can tell. found and left may be -1.
func (c *checker) adjusted(found, left int) bool {
	flag := c.flag(left)
	if flag == Yes {
		return true
	}
	if found < 0 {
		return flag != No
	}
	a, z := c.r.CO2(&c.h.Readings[found]), c.r.CO2(&c.h.Readings[left])
	return math.Abs(a-z) > c.r.SameWithinPoints+edge
}

// flag returns what the visit of a reading records about adjustment.
func (c *checker) flag(i int) string {
	x := &c.h.Readings[i]
	return c.h.Visits[x.Visit].Adjusted(x.Fire)
}

// add files a finding. It is open when it concerns the last reading of its
// series with a gas or CO, values taken between apart.
func (c *checker) add(s *series, f Finding) {
	f.Fire = s.fire
	last := -1
	for _, i := range s.order {
		x := &c.h.Readings[i]
		if x.Condition != Between && !(math.IsNaN(x.CO2Percent) && math.IsNaN(x.O2Percent) && math.IsNaN(x.COPPM)) {
			last = i
		}
	}
	for _, i := range f.Readings {
		f.Open = f.Open || i == last
	}
	c.findings = append(c.findings, f)
}
