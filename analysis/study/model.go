package study

import (
	"context"
	"fmt"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/fleet"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// Model is what the drift model of the night has to tell an engineer beside the
// study: how surely it knows its spreads, and its own fits of what a vent may shift.
type Model struct {
	Spreads []Spread
	Effects []ModelEffect
	Notes   []string

	Unconfirmed []Unconfirmed
	Steps       []LevelStep
}

// Unconfirmed is a reading or a change that the others of its stretch contradict,
// with its unit.
type Unconfirmed struct {
	Unit judge.Unit
	queries.Unconfirmed
}

// LevelStep is a day about which the levels of an area seem to have moved together.
type LevelStep = queries.LevelStep

// Spread is one standard deviation of the model at a fire.
type Spread struct {
	Fire judge.Fire
	Unit string
	drift.Variance
}

// Told says whether the records tell a spread from the others.
func (s *Spread) Told() string {
	switch {
	case s.AtZero:
		return "not detected"
	case s.Rise < drift.SeparableRise:
		return "cannot be told from the others on these records"
	case s.Rise >= drift.SeparableRise:
		return "yes"
	}
	return "not asked" // of the noise, which nothing stands in for
}

// ModelEffect is one coefficient of a fit of the model: of what (Fit), at a fire.
// Vent says that it is the vent's; the others are what has to be told from it.
// Value, SE and the 95 % interval are NaN where there is none, and Why says why, or
// why an engineer should not use it.
type ModelEffect struct {
	Fire                 judge.Fire
	Fit, Name, Unit      string
	Coding, Source       string // what 0 and 1 of the covariate are and where it is from; "" of shifts
	Value, SE, Low, High float64
	Vent                 bool
	Units, Events        int // that the fit is of, and that there were
	NoisePoints          float64
	Ended, Why           string
}

// spreadUnits are of the model's standard deviations, in its order.
var spreadUnits = [...]string{"points", "points in a year", "points a year", "points", "points"}

// ModelOf takes up the fits of a night and makes their long diagnostics. The
// fleet and its rules are those of the night.
func ModelOf(ctx context.Context, j *fleet.Judged, night estimate.Stored) (*Model, error) {
	restored, err := fleet.Restore(ctx, j, night)
	if err != nil {
		return nil, fmt.Errorf("drift model: %w", err)
	}
	found, err := restored.Study(ctx)
	if err != nil {
		return nil, fmt.Errorf("drift model: %w", err)
	}
	out := &Model{Notes: restored.Notes, Steps: night.Steps}
	units := map[int32]*judge.History{}
	for _, h := range j.Histories {
		units[h.Unit.Key] = h
	}
	for _, u := range night.Unconfirmed {
		if h := units[u.UnitKey]; h != nil {
			out.Unconfirmed = append(out.Unconfirmed, Unconfirmed{h.Unit, u})
		}
	}
	for i := range restored.Fits {
		f := &restored.Fits[i]
		variances := found.Variances[f.Fire]
		if variances == nil {
			out.Notes = append(out.Notes, fmt.Sprintf("%s fire: %s; no spread was measured", f.Fire, f.Beta.Ended))
		}
		for k, v := range variances {
			out.Spreads = append(out.Spreads, Spread{f.Fire, spreadUnits[k], v})
		}
		out.drift(string(Drift), f)
	}
	if found.Offset == nil {
		out.Notes = append(out.Notes, string(LowLessHigh)+": no unit has both fires on record")
	} else {
		out.drift(OffsetDrift, found.Offset)
	}
	for _, s := range found.Rows() {
		out.Effects = append(out.Effects, ModelEffect{
			Fit: s.Event, Fire: s.Fire, Name: s.Name, Unit: s.Unit, Value: s.Value, SE: s.SE, Low: s.Low, High: s.High,
			Vent: estimate.OfVent(s.Name), Units: int(s.Units), Events: int(s.Events), NoisePoints: s.SigmaPoints, Ended: s.Ended, Why: s.Dropped,
		})
	}
	return out, nil
}

// drift adds the effects of a fit of drift.
func (m *Model) drift(name string, f *estimate.FireFit) {
	n := f.Beta.Counts.Units
	for _, e := range f.Effects {
		m.Effects = append(m.Effects, ModelEffect{
			Fit: name, Fire: f.Fire, Name: e.Name, Unit: e.Unit, Coding: e.Coding, Source: e.Source,
			Value: e.Value, SE: e.SE, Low: e.Low, High: e.High, Vent: estimate.OfVent(e.Name), Units: n, Events: n,
			NoisePoints: f.Beta.Sigma, Ended: f.Beta.Ended, Why: e.Why,
		})
	}
}

// OffsetDrift is the name of the fit of low less high fire: the drift of what is left
// when a burner's common part cancels, such as the offset of its governor.
const OffsetDrift = "drift of the offset"
