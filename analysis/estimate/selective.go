package estimate

import (
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"

	"fluedrift/model/judge"
)

// Technician counts the as-found readings somebody wrote down, first visits apart, and
// those near the target. Who writes down only what is bad has hardly any.
type Technician struct {
	Source, Name string
	AsFounds     int     // visits
	Near         [2]int  // with every fire within nearPoints[0], nearPoints[1]
	Flagged      bool    // recorded selectively
	Tail         float64 // probability of so few at half the reference share, the smaller of both
}

// nearPoints are the two deviations within which a visit counts as near. A visit
// is written down or not as a whole, and with two fires hardly any is within the
// first at both.
var nearPoints = [2]float64{0.1, 0.2}

// fewNear are the shares of near visits of the whole fleet under which nobody can
// be believed.
var fewNear = [2]float64{0.02, 0.1}

// Figures of the detector.
const (
	minReference   = 20    // as-found readings from which a technician counts for the reference
	minToFlag      = 8     // and from which one can be flagged
	flagTail       = 0.001 // binomial tail below which one is, over both deviations
	minFleetFounds = 200   // as-found readings from which the fleet's share means something
)

// technicians is the table with what follows from it.
type technicians struct {
	list    []Technician
	at      map[[2]string]int
	flagged int
	overall bool // too many to do without them: no coefficients
}

// newTechnicians counts, takes the upper quartile of the shares as what honest
// records look like, and flags who falls far below it.
func newTechnicians(histories []*judge.History, judgements []judge.Judgement, s *sources) technicians {
	t := technicians{at: map[[2]string]int{}}
	counts := map[[2]string]*Technician{}
	all, near := 0, [2]int{}
	for i, h := range histories {
		countAsFounds(h, judgements[i].Uses, s, func(key [2]string, worst float64) {
			c := counts[key]
			if c == nil {
				c = &Technician{Source: key[0], Name: key[1]}
				counts[key] = c
			}
			c.AsFounds++
			all++
			for k, within := range nearPoints {
				if worst <= within+hair {
					c.Near[k]++
					near[k]++
				}
			}
		})
	}
	for _, c := range counts {
		t.list = append(t.list, *c)
	}
	sort.Slice(t.list, func(i, j int) bool {
		a, z := &t.list[i], &t.list[j]
		return a.Source < z.Source || a.Source == z.Source && a.Name < z.Name
	})
	enough := t.flag()
	t.overall = 2*t.flagged > enough && t.flagged > 0
	for k, few := range fewNear {
		t.overall = t.overall || all >= minFleetFounds && float64(near[k]) < few*float64(all)
	}
	return t
}

// hair absorbs the last digits of a difference of displayed values.
const hair = 1e-6

// countAsFounds visits the as-found readings of a unit, a visit at a time, with the
// largest deviation of its fires.
func countAsFounds(h *judge.History, uses []judge.Use, s *sources, count func(key [2]string, worst float64)) {
	first := true
	for i := 0; i < len(h.Readings); {
		v := h.Readings[i].Visit
		fires, worst := 0, 0.0
		for ; i < len(h.Readings) && h.Readings[i].Visit == v; i++ {
			x := &h.Readings[i]
			if x.Condition != judge.AsFound || uses[i] == judge.LeftOut {
				continue
			}
			if d := s.deviation(h, x); !math.IsNaN(d) {
				fires++
				worst = math.Max(worst, math.Abs(d))
			}
		}
		if h.Visits[v].Reason == judge.FactoryTest {
			continue
		}
		if !first && fires > 0 && h.Visits[v].Technician != "" {
			count(technicianOf(&h.Visits[v]), worst)
		}
		first = false
	}
}

func technicianOf(v *judge.Visit) [2]string { return [2]string{v.Source, v.Technician} }

// flag flags the selective and returns how many had enough as-found readings to be. The
// reference is the upper quartile of the shares of who has most to show.
func (t *technicians) flag() (enough int) {
	var half [2]float64
	for k := range half {
		var shares []float64
		for i := range t.list {
			if c := &t.list[i]; c.AsFounds >= minReference {
				shares = append(shares, float64(c.Near[k])/float64(c.AsFounds))
			}
		}
		if len(shares) > 0 {
			slices.Sort(shares)
			half[k] = shares[3*(len(shares)-1)/4] / 2
		}
	}
	for i := range t.list {
		c := &t.list[i]
		t.at[[2]string{c.Source, c.Name}] = i
		c.Tail = 1
		if c.AsFounds < minToFlag {
			continue
		}
		enough++
		for k, p := range half {
			if p > 0 {
				c.Tail = math.Min(c.Tail, distuv.Binomial{N: float64(c.AsFounds), P: p}.CDF(float64(c.Near[k])))
			}
		}
		if c.Flagged = c.Tail < flagTail/float64(len(half)); c.Flagged {
			t.flagged++
		}
	}
	return enough
}

// flaggedAt says whether the as-found reading of a visit is of a flagged technician.
func (t *technicians) flaggedAt(v *judge.Visit) bool {
	i, ok := t.at[technicianOf(v)]
	return ok && t.list[i].Flagged
}

func (t *technicians) notes() []Note {
	switch {
	case t.overall:
		return []Note{RecordedSelectively{}}
	case t.flagged > 0:
		return []Note{SelectiveTechnicians{Flagged: t.flagged, Technicians: len(t.list)}}
	}
	return nil
}
