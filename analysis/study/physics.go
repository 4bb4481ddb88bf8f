package study

import (
	"fmt"
	"math"
	"slices"

	"fluedrift/model/combustion"
	"fluedrift/model/judge"
)

// predict fills what physics says of a row. Every share is taken at full rate: at
// low fire the fan's pressure and the losses fall alike.
func (m *rowMaker) predict(r *Row, targetCO2 float64, now, was runMeasures) {
	nan := math.NaN()
	none, zero := Physics{nan, nan, nan}, Physics{}
	r.PhysicsPoints, r.PhysicsLnLambda = none, none
	burn, known := m.air[r.Fuel]
	switch {
	case basisOf(r.Kind, r.Control) == NoBasis || !known || !whole(targetCO2):
		return
	case basisOf(r.Kind, r.Control) != FixedFan:
		r.PhysicsPoints, r.PhysicsLnLambda = zero, zero
		return
	}
	points := func(change float64) (points, ln float64) {
		factor := combustion.FixedFanByResistance(1 + change)
		return burn.CO2After(targetCO2, factor) - targetCO2, math.Log(factor)
	}
	p, l := &r.PhysicsPoints, &r.PhysicsLnLambda
	p.Low, l.Low = points(now.ofFan.Low - was.ofFan.Low)
	p.Middle, l.Middle = points(now.ofFan.Middle - was.ofFan.Middle)
	p.High, l.High = points(now.ofFan.High - was.ofFan.High)
}

// basisOf says from what first principles a burner control's answer follows.
func basisOf(kind Kind, control judge.Control) Basis {
	switch control {
	case judge.ControlFixedAir, judge.ControlLinkage:
		if kind == Drift {
			return ConstantResistance
		}
		return FixedFan
	case judge.ControlRatio, judge.ControlOxygenTrim:
		if kind == Drift {
			return ConstantResistance
		}
		return HeldByControl
	}
	return NoBasis
}

// predict is one line of the comparison, of the rows of a burner control.
func (t task) predict(control judge.Control, rows []*Row) Prediction {
	p := Prediction{Kind: t.kind, Fire: t.fire, Control: control, Response: t.response.name, Measure: t.measure.name, Counts: countsOf(rows)}
	p.Basis = basisOf(t.kind, control)
	f, err := t.regress(rows)
	switch {
	case p.Basis == NoBasis:
		p.NotMade = NoPrinciples{}
	case err != nil:
		p.NotMade = Failed{Err: err}
	}
	if p.NotMade == nil {
		p.Unit = unitOf(t.response.unit, f.design.columns[f.column(VentName)].unit)
		p.Estimate, p.Counts = f.vent(), f.counts
		p.NotMade = failed(p.fromPhysics(t, f.rows))
	}
	return p
}

// fromPhysics fits the predicted changes of the same rows.
func (p *Prediction) fromPhysics(t task, rows []*Row) error {
	of := func(r *Row) Physics {
		if p.Response == responses[0].name {
			return r.PhysicsPoints
		}
		return r.PhysicsLnLambda
	}
	var slopes []float64
	for _, part := range []func(Physics) float64{
		func(x Physics) float64 { return x.Low },
		func(x Physics) float64 { return x.Middle },
		func(x Physics) float64 { return x.High },
	} {
		t.response.of = func(r *Row) float64 { return part(of(r)) }
		f, err := t.regress(rows)
		if err != nil {
			return fmt.Errorf("loss or fan's pressure not known: %w", err)
		}
		slopes = append(slopes, f.vent().Value)
	}
	p.Middle = slopes[1]
	slices.Sort(slopes)
	p.Low, p.High = slopes[0], slopes[2]
	p.Inside = p.Low <= p.Estimate.High && p.Estimate.Low <= p.High
	return nil
}
