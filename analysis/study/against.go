package study

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat/distuv"

	"fluedrift/model/judge"
)

// Difference is what one configuration is expected to do more than another: a change of
// CO2, points; of drift points a year.
type Difference struct {
	Kind    Kind
	Fire    judge.Fire
	Fit     string
	Mean    Contrast // of all units so configured
	Outside bool     // one of them lies beyond the data
	Counts
}

// Differences compares two answers of one study by equivalent length, as fits by burner
// control have it where both controls have rows enough.
func Differences(s *Study, a, b *Answer) (all []Difference) {
	for _, kind := range Kinds {
		for _, fire := range fires {
			rows := s.rowsOf(s.Rows, kind, fire)
			t := pooledTask(kind, fire, byLength)
			if own := commonest(rows); slices.Contains(own, a.Configuration.Control) && slices.Contains(own, b.Configuration.Control) {
				t.fit, t.more = ControlFit, fits[1].more
			}
			f, err := t.regress(rows)
			if err != nil || !whole(a.OfRun, b.OfRun) {
				continue // each answer says why
			}
			of := func(x *Answer) []float64 {
				if kind == Installation {
					return f.weights(t, &x.Configuration, x.OfRun-x.benchRun)
				}
				return f.weights(t, &x.Configuration, x.OfRun)
			}
			d := Difference{Kind: kind, Fire: fire, Fit: t.fit, Counts: f.counts, Outside: len(a.Outside)+len(b.Outside) > 0}
			if x, y := a.Configuration.Control, b.Configuration.Control; t.fit == ControlFit && x == y {
				d.Counts = countsOf(within(f.rows, x))
			}
			weights := of(a)
			floats.Sub(weights, of(b))
			if floats.Norm(weights, 2) > 0 {
				d.Mean = f.combine(weights)
			}
			all = append(all, d)
		}
	}
	return all
}

// Bench is the CO2, % by volume dry, that a burner is to be left at on the factory's
// vent, so that it stands at its target on another one with the air of the bench.
type Bench struct {
	Fire            judge.Fire
	Target, Set     float64
	Low, High       float64 // 95 % interval of the mean of all units so configured
	OneLow, OneHigh float64 // 90 % interval of one unit: what units differ by, without the noise of readings; NaN where that is not known
	Outside         bool    // beyond the data
}

// Benches are the settings at the bench for the vent of an answer, one a fire with a
// target of the model line and an expected installation.
func Benches(s *Study, a *Answer) (all []Bench) {
	line := s.lines[a.Configuration.Line]
	if line == nil {
		return nil
	}
	for i := range a.Expected {
		e := &a.Expected[i]
		if e.Kind != Installation || e.Response != InPoints || e.Measure != ByLength {
			continue
		}
		for _, t := range line.Targets {
			co2 := s.maker.judge.TargetCO2(&t.Target, a.Configuration.Fuel)
			if (t.Fire == e.Fire || t.Fire == judge.Single && e.Fire == judge.High) && whole(co2) {
				all = append(all, benchOf(e, co2, s.Settings.ReadingSD))
				break
			}
		}
	}
	return all
}

// benchOf turns an expected shift into a setting.
func benchOf(e *Expected, target float64, readingSD map[judge.Fire]float64) Bench {
	b := Bench{
		Fire: e.Fire, Target: target, Set: target - e.Mean.Value, Low: target - e.Mean.High, High: target - e.Mean.Low, Outside: e.Outside,
		OneLow: math.NaN(), OneHigh: math.NaN(),
	}
	sd, known := readingSD[e.Fire]
	if !known || !(e.Mean.DF > 0) {
		return b
	}
	const readings, quantile95 = 2, 0.95 // one at the bench and one at start-up
	units := math.Max(0, e.residualSD*e.residualSD-readings*sd*sd)
	half := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: e.Mean.DF}.Quantile(quantile95) * math.Sqrt(e.Mean.SE*e.Mean.SE+units)
	b.OneLow, b.OneHigh = b.Set-half, b.Set+half
	return b
}
