package estimate

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"

	"fluedrift/model/judge"
)

// Technician counts the as founds somebody wrote down, first visits apart, and
// those near the target. Who writes down only what is bad has hardly any.
type Technician struct {
	Source, Name string
	AsFounds     int
	Near         int     // every fire within nearPoints
	Flagged      bool    // recorded selectively
	Tail         float64 // probability of so few at half the reference share
}

// Figures of the detector.
const (
	nearPoints     = 0.1
	minReference   = 20    // as founds from which a technician counts for the reference
	minToFlag      = 8     // and from which one can be flagged
	flagTail       = 0.001 // binomial tail below which one is
	fewNear        = 0.1   // share of near as founds of the whole fleet under which nobody can be believed
	minFleetFounds = 200   // as founds from which that share means something
	selectiveWords = "as found recorded selectively: drift rates not usable"
)

// technicians is the table with what follows from it.
type technicians struct {
	list    []Technician
	at      map[[2]string]int
	flagged int
	overall bool // too many to do without them: no coefficients
}

// lookAtTechnicians counts, takes the upper quartile of the shares as what honest
// records look like, and flags who falls far below it.
func (b *builder) lookAtTechnicians() technicians {
	t := technicians{at: map[[2]string]int{}}
	counts := map[[2]string]*Technician{}
	near, all := 0, 0
	for i, h := range b.histories {
		b.countAsFounds(h, b.judgements[i].Uses, func(key [2]string, isNear bool, fires, nearFires int) {
			c := counts[key]
			if c == nil {
				c = &Technician{Source: key[0], Name: key[1]}
				counts[key] = c
			}
			c.AsFounds++
			all, near = all+fires, near+nearFires
			if isNear {
				c.Near++
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
	t.overall = 2*t.flagged > enough && t.flagged > 0 || all >= minFleetFounds && float64(near) < fewNear*float64(all)
	return t
}

// countAsFounds visits the as founds of a unit, a visit at a time: whether every
// fire is near its target, how many fires there are and how many of them are.
func (b *builder) countAsFounds(h *judge.History, uses []judge.Use, count func(key [2]string, isNear bool, fires, near int)) {
	first := -1
	for i := 0; i < len(h.Readings); {
		v := h.Readings[i].Visit
		fires, near := 0, 0
		from := i
		for ; i < len(h.Readings) && h.Readings[i].Visit == v; i++ {
			x := &h.Readings[i]
			if x.Condition != judge.AsFound || uses[i] == judge.LeftOut {
				continue
			}
			if d := b.deviation(h, x); !math.IsNaN(d) {
				fires++
				if math.Abs(d) <= nearPoints+1e-6 {
					near++
				}
			}
		}
		if h.Visits[v].Reason == judge.FactoryTest {
			continue
		}
		if first < 0 {
			first = from
			continue
		}
		if fires > 0 && h.Visits[v].Technician != "" {
			count(technicianOf(&h.Visits[v]), near == fires, fires, near)
		}
	}
}

func technicianOf(v *judge.Visit) [2]string { return [2]string{v.Source, v.Technician} }

// flag flags the selective and returns how many had enough as founds to be.
func (t *technicians) flag() (enough int) {
	var shares []float64
	for i := range t.list {
		c := &t.list[i]
		t.at[[2]string{c.Source, c.Name}] = i
		if c.AsFounds >= minReference {
			shares = append(shares, float64(c.Near)/float64(c.AsFounds))
		}
	}
	if len(shares) == 0 {
		return 0
	}
	slices.Sort(shares)
	half := shares[3*(len(shares)-1)/4] / 2
	for i := range t.list {
		c := &t.list[i]
		c.Tail = 1
		if c.AsFounds < minToFlag {
			continue
		}
		enough++
		if half > 0 {
			c.Tail = distuv.Binomial{N: float64(c.AsFounds), P: half}.CDF(float64(c.Near))
		}
		if c.Flagged = c.Tail < flagTail; c.Flagged {
			t.flagged++
		}
	}
	return enough
}

// flaggedAt says whether the as found of a visit is of a flagged technician.
func (t *technicians) flaggedAt(v *judge.Visit) bool {
	i, ok := t.at[technicianOf(v)]
	return ok && t.list[i].Flagged
}

func (t *technicians) notes() []string {
	switch {
	case t.overall:
		return []string{selectiveWords}
	case t.flagged > 0:
		return []string{fmt.Sprintf("as found recorded selectively by %d of %d technicians: coefficients are from the others' readings", t.flagged, len(t.list))}
	}
	return nil
}
