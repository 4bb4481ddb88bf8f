package study

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"fluedrift/model/combustion"
	"fluedrift/model/judge"
)

// Bases of predictions. The formulas are those of package combustion's shifts.
const (
	basisFan = "a fan at constant speed with flat pressure against the whole air and flue path: air goes with the root of one over its resistance; " +
		"the vent's share of the fan's pressure is added to that path, gas stays as set"
	basisHeld  = "the control holds gas to air (or O2 itself), so that resistance takes input and not CO2, to first order"
	basisDrift = "resistance that stays as it is moves nothing with time"
)

// predict fills what physics says of a row. Every share is taken at full rate: at
// low fire the fan's pressure and the losses fall alike.
func (m *rowMaker) predict(r *Row, targetCO2 float64, now, was runMeasures) {
	nan := math.NaN()
	none, zero := Physics{nan, nan, nan}, Physics{}
	r.PhysicsPoints, r.PhysicsLnLambda = none, none
	burn, known := m.air[r.Fuel]
	switch {
	case basisOf(r.Kind, r.Control) == "" || !known || !whole(targetCO2):
		return
	case basisOf(r.Kind, r.Control) != basisFan:
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

// basisOf says from what first principles a burner control's answer follows, ""
// where they do not say.
func basisOf(kind Kind, control string) string {
	switch control {
	case "fixed air", "linkage":
		if kind == Drift {
			return basisDrift
		}
		return basisFan
	case "ratio", "oxygen trim":
		if kind == Drift {
			return basisDrift
		}
		return basisHeld
	}
	return ""
}

// predictions fits what physics says of the rows beside what was found, by burner
// control and the same columns, so that both have one unit.
func (s *Study) predictions() {
	for _, kind := range Kinds {
		for _, fire := range []string{judge.High, judge.Low} {
			controls := map[string][]*Row{}
			for _, r := range s.rowsOf(s.Rows, kind, fire) {
				controls[r.Control] = append(controls[r.Control], r)
			}
			for _, c := range slices.Sorted(maps.Keys(controls)) {
				for _, m := range measures {
					for _, y := range responses {
						s.prediction(kind, fire, c, m, y, controls[c])
					}
				}
			}
		}
	}
}

// prediction is one line of the comparison.
func (s *Study) prediction(kind Kind, fire, control string, m measure, y response, rows []*Row) {
	p := Prediction{Kind: kind, Fire: fire, Control: control, Response: y.name, Measure: m.name, Basis: basisOf(kind, control), Counts: countsOf(rows)}
	t := task{kind, fire, y, m, PooledFit, fits[0].more}
	f, err := t.regress(rows)
	switch {
	case p.Basis == "":
		p.NotMade = "first principles give no answer for this control"
	case err != nil:
		p.NotMade = err.Error()
	}
	if p.NotMade == "" {
		p.Unit = unitOf(y.unit, f.design.columns[f.column(VentName)].unit)
		p.Estimate, p.Counts = f.vent(), f.counts
		err = p.fromPhysics(t, f.rows)
		if err != nil {
			p.NotMade = err.Error()
		}
	}
	s.Predictions = append(s.Predictions, p)
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
	for _, part := range []func(Physics) float64{func(x Physics) float64 { return x.Low }, func(x Physics) float64 { return x.Middle }, func(x Physics) float64 { return x.High }} {
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
