package watch

import (
	"math"
	"slices"

	"fluedrift/analysis"
	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/model/vent"
)

// otherSetting: the newest reading of a fire has a CO2 that was computed for
// another fuel than the unit's. What was set by it is off by more than a point.
func otherSetting(x *facts) finding {
	for i := range x.judged.Findings {
		d := &x.judged.Findings[i]
		if d.Kind != judge.OtherSetting || !d.Open {
			continue
		}
		r := &x.h.Readings[d.Readings[len(d.Readings)-1]]
		if r.Fuel != x.h.Unit.Fuel || r.Day > x.rules.AsOf {
			continue
		}
		meant := *r
		meant.CO2Percent = math.NaN()
		c := compare(&meant, r.Target, x.rules.fuel(r.Fuel))
		return finding{group: AskFirst, side: c.Side, reason: OtherSettingFound{Found: x.found(d)}}
	}
	return finding{}
}

// gasInDoubt are the findings that put a recorded gas in doubt.
var gasInDoubt = []judge.Kind{judge.SwappedGases, judge.OtherGas, judge.PairApart, judge.SwappedFires}

// doubtOf returns the finding that puts the newest gas of a fire in doubt, nil
// where there is none.
func (x *facts) doubtOf(f *FireLine) *judge.Finding { return x.doubtAt(f.Reading) }

// Found is a finding with the history it is of: its sentence needs both.
type Found struct {
	*judge.Finding
	History *judge.History
}

// found is a finding of the unit's; nil without one.
func (x *facts) found(d *judge.Finding) *Found {
	if d == nil {
		return nil
	}
	return &Found{d, x.h}
}

// inDoubt reports whether the gas of a reading is in doubt.
func (x *facts) inDoubt(r *judge.Reading) bool { return x.doubtAt(r) != nil }

func (x *facts) doubtAt(r *judge.Reading) *judge.Finding {
	for i := range x.judged.Findings {
		d := &x.judged.Findings[i]
		if slices.Contains(gasInDoubt, d.Kind) && x.shows(r, d.Readings[0]) {
			return d
		}
	}
	return nil
}

// shows reports whether a reading is one of the history, or stands for it with others.
func (x *facts) shows(r *judge.Reading, i int) bool {
	y := &x.h.Readings[i]
	return r == y || r != nil && r.Visit == y.Visit &&
		sameFire(r.Fire, r.RatePercent, y.Fire, y.RatePercent) && x.h.Tied(y) != nil && x.h.Tied(r) != nil
}

// markedKinds are the findings that stand as a mark on the line when they
// concern the newest reading of a fire; the others have a tier or a mark of
// their own, or say nothing against the reading.
var markedKinds = append(slices.Clone(gasInDoubt), judge.FoundTwice, judge.LowRate, judge.EarlyReading,
	judge.COBasis, judge.TempUnit, judge.RoomProbe)

// findingMarks returns the marks that the newest readings' findings make, those
// apart which are no reading of a burner but stand where the newest would.
func findingMarks(x *facts) (marks []Mark) {
	for i := range x.judged.Findings {
		d := &x.judged.Findings[i]
		concerns := slices.Contains(markedKinds, d.Kind) && x.newest(d) || d.Kind == judge.NoBurner && d.Open
		if m := (Mark{Mark: analysis.Mark{Kind: MarkFinding}, Finding: d.Kind}); concerns && !slices.Contains(marks, m) {
			marks = append(marks, m)
		}
	}
	return marks
}

// newest reports whether a finding concerns the newest visit of its fire.
func (x *facts) newest(d *judge.Finding) bool {
	for i := range x.fires {
		r := x.fires[i].Reading
		if r == nil {
			continue
		}
		for _, k := range d.Readings {
			if y := &x.h.Readings[k]; y.Visit == r.Visit && sameFire(y.Fire, y.RatePercent, r.Fire, r.RatePercent) {
				return true
			}
		}
	}
	return false
}

// lowRich raises CO for attention to urgent where it was read at low fire with
// less air than the setting band allows, or where nobody knows the band because
// the unit is not in the register.
func (l *FireLine) lowRich(h *judge.History, r Config) {
	if l.CO.Level != COAttention || l.COOlder || l.Reading == nil || l.Reading.Day != l.CO.Day || l.CO.AtLeast {
		return
	}
	noBand := !h.Unit.InRegister && l.Fire == judge.Low && !HasTarget(l.Reading.Target)
	if noBand || r.Judge.UrgentAtLow(l.Reading, r.COAttentionPPM) {
		l.CO.Level, l.CO.LowRich, l.CO.NoBand = COUrgent, true, noBand
	}
}

// missingCO notes the fires whose last test recorded no CO.
func missingCO(l *Line, x *facts) {
	for i := range x.fires {
		f := &x.fires[i]
		f.COMissing = f.Fire != judge.Point && x.rules.Judge.CORecord(x.h, f.Fire, x.rules.AsOf).Missing()
	}
}

// toldFindings are what the records say of themselves: what is open, and what was
// found of the last visits.
func toldFindings(h *judge.History, j *judge.Judgement, asOf day.Day) (told []Found) {
	since := lastVisit(h, asOf) - storyDays
	for i := range j.Findings {
		d := &j.Findings[i]
		if day := h.Readings[d.Readings[0]].Day; day <= asOf && (d.Open || day >= since) {
			told = append(told, Found{d, h})
		}
	}
	return told
}

// storyDays is how far before the last visit findings are told that newer
// readings have overtaken.
const storyDays = 2 * 366

// leanCosts are what the newest lean reading of each fire costs.
func leanCosts(x *facts) (costs []LeanCost) {
	gases := x.rules.Judge.Gases
	if gases == nil {
		var err error
		if gases, err = combustion.Gases(nil); err != nil {
			return nil
		}
	}
	altitudeM := x.h.Unit.AltitudeM
	if math.IsNaN(altitudeM) {
		altitudeM = 0
	}
	for i := range x.fires {
		f := &x.fires[i]
		gas, known := gases[x.h.Unit.Fuel]
		if !known || f.Reading == nil || f.OtherFuel || f.Side != Lean || x.doubtOf(f) != nil {
			continue
		}
		c := judge.Losses{Rules: &x.rules.Judge, Gas: gas, PressurePa: vent.PressurePa(altitudeM)}.OfLean(f.Reading)
		if c.NoCost != judge.HasCost {
			continue
		}
		costs = append(costs, LeanCost{f, c})
	}
	return costs
}

// kindsOf are the kinds of what was found of each reading, by index.
func kindsOf(j *judge.Judgement) map[int][]judge.Kind {
	kinds := map[int][]judge.Kind{}
	for i := range j.Findings {
		d := &j.Findings[i]
		for _, k := range d.Readings {
			if !slices.Contains(kinds[k], d.Kind) {
				kinds[k] = append(kinds[k], d.Kind)
			}
		}
	}
	return kinds
}
