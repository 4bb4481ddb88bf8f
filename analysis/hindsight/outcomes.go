package hindsight

import (
	"math"

	"fluedrift/analysis/fleet"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Found is what the next visit recorded at one fire before anybody touched it.
type Found struct {
	Fire       judge.Fire
	Points     float64 // off the target, CO2 points
	StepPoints float64 // in which the value was shown, CO2 points
	Side       judge.Side
	Fresh      bool // read within freshDays of the analyzer's calibration
}

// freshDays is how long after a calibration an analyzer's reading still says where
// the unit truly stood: what an instrument has lost since falls on the forecast.
const freshDays = 90

// Next is the next visit of a unit after a day.
type Next struct {
	Day    day.Day // day.None: none within the horizon
	Reason judge.Reason
	Last   day.Day // the last visit up to the day, as known at the end; day.None: none
	Found  []Found // empty where no as found was recorded that can be used
}

// routine reports whether the visit was planned by the calendar and not called
// for because of what the unit did.
func (n Next) routine() bool { return n.Reason == judge.Annual }

// Outcomes hold, by serial, what is known by the end about every unit.
type Outcomes struct {
	rules     judge.Config
	histories map[string]*judge.History
	uses      map[string][]judge.Use
}

// NewOutcomes takes the fleet as known at the end.
func NewOutcomes(end *fleet.Judged) *Outcomes {
	o := &Outcomes{rules: end.Rules.List.Judge, histories: map[string]*judge.History{}, uses: map[string][]judge.Use{}}
	for i, h := range end.Histories {
		o.histories[h.Unit.Serial] = h
		o.uses[h.Unit.Serial] = end.Judgements[i].Uses
	}
	return o
}

// after finds the next visit in the field of a unit after a day and within the
// horizon. A visit without an as found ends the search: what a later one finds
// is not what the list was about.
func (o *Outcomes) after(serial string, d day.Day, horizonDays int32) Next {
	h := o.histories[serial]
	none, last := Next{Day: day.None, Last: day.None}, day.None
	if h == nil {
		return none
	}
	for i := range h.Visits {
		v := &h.Visits[i]
		if v.Reason == judge.FactoryTest {
			continue
		}
		if v.Day <= d {
			last = v.Day
			continue
		}
		if v.Day > d+day.Day(horizonDays) {
			return none
		}
		return Next{Day: v.Day, Reason: v.Reason, Last: last, Found: o.found(h, o.uses[serial], i)}
	}
	return none
}

// found reads the as founds of one visit that say where the unit stood.
func (o *Outcomes) found(h *judge.History, uses []judge.Use, visit int) (out []Found) {
	for i := range h.Readings {
		x := &h.Readings[i]
		if x.Visit != visit || x.Condition != judge.AsFound || uses[i] >= judge.LeftOut {
			continue
		}
		band, _ := o.rules.Action(&x.Target, x.Fuel)
		points := o.rules.Deviation(x)
		if tied := h.Tied(x); tied != nil {
			if tied[0] != x {
				continue
			}
			points = o.rules.MeanDeviation(tied)
		}
		side := band.Side(points)
		if math.IsNaN(points) || side == judge.Unknown {
			continue
		}
		fresh := x.Calibrated != day.None && x.Day-x.Calibrated <= freshDays
		out = append(out, Found{Fire: x.Fire, Points: points, StepPoints: o.step(x), Side: side, Fresh: fresh})
	}
	return out
}

// step is the last digit of a value as shown, in points of CO2; 0.1 where it is
// not known (common practice, no source).
func (o *Outcomes) step(x *judge.Reading) float64 {
	switch {
	case !math.IsNaN(x.CO2Percent) && x.CO2Decimals >= 0:
		return math.Pow10(-int(x.CO2Decimals))
	case math.IsNaN(x.CO2Percent) && x.O2Decimals >= 0:
		return math.Pow10(-int(x.O2Decimals)) * o.rules.Fuels[x.Fuel].CO2PerO2()
	}
	return 0.1
}
