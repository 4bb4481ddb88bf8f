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
	Spreads  []Spread
	Effects  []ModelEffect
	Notes    []estimate.Note // of the fits taken up
	Unspread []Unspread      // fires without spreads
	NoOffset bool            // no unit has both fires on record

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

// Unspread is a fire of whose spreads nothing was measured, and how its fit ended.
type Unspread struct {
	Fire  judge.Fire
	Ended estimate.Ended
}

// Told is whether the records tell a spread from the others.
type Told uint8

// Whether a spread is told from the others.
const (
	NotAsked    Told = iota // of the noise, which nothing stands in for
	NotDetected             // it is at zero
	Inseparable             // the fit is hardly worse without it
	ToldApart
)

// Told says whether the records tell a spread from the others.
func (s *Spread) Told() Told {
	switch {
	case s.AtZero:
		return NotDetected
	case s.Rise < drift.SeparableRise:
		return Inseparable
	case s.Rise >= drift.SeparableRise:
		return ToldApart
	}
	return NotAsked
}

// ModelEffect is one coefficient of a fit of the model: of what (Fit), at a fire.
// Vent says that it is the vent's; the others are what has to be told from it.
// Value, SE and the 95 % interval are NaN where there is none, and Why says why, or
// why an engineer should not use it. Of a vent's effect Class is the class of burner
// controls, and ByLength says that vents are told apart by length.
type ModelEffect struct {
	Fire                 judge.Fire
	Fit, Name, Unit      string
	Coding, Source       string // what 0 and 1 of the covariate are and where it is from; "" of shifts
	Value, SE, Low, High float64
	Vent, ByLength       bool
	Class                string
	Units, Events        int // that the fit is of, and that there were
	NoisePoints          float64
	Ended                estimate.Ended
	Why                  estimate.WhyNot // nil: nothing speaks against it
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
			out.Unspread = append(out.Unspread, Unspread{f.Fire, f.BetaEnded()})
		}
		for k, v := range variances {
			out.Spreads = append(out.Spreads, Spread{f.Fire, spreadUnits[k], v})
		}
		out.drift(string(Drift), f)
	}
	if found.Offset == nil {
		out.NoOffset = true
	} else {
		out.drift(OffsetDrift, found.Offset)
	}
	for i := range found.Shifts {
		out.shifts(&found.Shifts[i])
	}
	for i := range found.Stored {
		out.stored(&found.Stored[i])
	}
	return out, nil
}

// shifts adds the effects of a fit of shifts.
func (m *Model) shifts(f *estimate.ShiftFit) {
	for _, c := range f.Fit.Coefficients {
		e := ModelEffect{
			Fit: f.Name, Fire: f.Fire, Name: c.Name, Unit: c.Unit, Value: c.Value, SE: c.SE, Low: c.Low, High: c.High,
			Units: f.Units, Events: f.Events, NoisePoints: f.Fit.Sigma, Ended: f.Ended(),
		}
		if c.Dropped != nil {
			e.Why = estimate.NotInFit{Why: c.Dropped}
		}
		m.add(e)
	}
}

// stored adds an effect of a shift that a night stored.
func (m *Model) stored(s *queries.Shift) {
	e := ModelEffect{
		Fit: s.Event, Fire: s.Fire, Name: s.Name, Unit: s.Unit, Value: s.Value, SE: s.SE, Low: s.Low, High: s.High,
		Units: int(s.Units), Events: int(s.Events), NoisePoints: s.SigmaPoints,
		Ended: estimate.AsStored{Text: s.Ended},
	}
	if s.Dropped != "" {
		e.Why = estimate.AsStored{Text: s.Dropped}
	}
	m.add(e)
}

// drift adds the effects of a fit of drift.
func (m *Model) drift(name string, f *estimate.FireFit) {
	n := f.Beta.Counts.Units
	for _, e := range f.Effects {
		m.add(ModelEffect{
			Fit: name, Fire: f.Fire, Name: e.Name, Unit: e.Unit, Coding: e.Coding, Source: e.Source,
			Value: e.Value, SE: e.SE, Low: e.Low, High: e.High, Units: n, Events: n,
			NoisePoints: f.Beta.Sigma, Ended: f.BetaEnded(), Why: e.Why,
		})
	}
}

// add adds an effect with what its name says of vents.
func (m *Model) add(e ModelEffect) {
	e.Class, e.ByLength, e.Vent = estimate.OfVent(e.Name)
	m.Effects = append(m.Effects, e)
}

// OffsetDrift is the name of the fit of low less high fire: the drift of what is left
// when a burner's common part cancels, such as the offset of its governor.
const OffsetDrift = "drift of the offset"
