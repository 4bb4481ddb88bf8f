package drift

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// The invented truth of the test fleets: per year, per unit of vent and year,
// per year of age and year, per K, and standard deviations in points.
const (
	trueRate, trueVent, trueAge, trueTemp = -0.010, -0.100, -0.006, 0.020
	trueNoise, trueWander, trueSlope      = 0.06, 0.07, 0.07
	trueBias, truePeriodBias              = 0.05, 0.04
)

var worldDesign = Design{
	Level: []Column{{Name: "temp", Unit: "K", Prior: &Prior{0.02, 0.03}}},
	Drift: []Column{
		{Name: "time", Unit: "year", Prior: &Prior{0, 0.05}},
		{Name: "vent", Unit: "longest run", Prior: &Prior{0, 0.1}, Companion: "vent unknown"},
		{Name: "vent unknown", Unit: "year", Prior: &Prior{0, 0.1}},
		{Name: "age", Unit: "year", Prior: &Prior{0, 0.01}},
	},
	Settling: true,
}

// invented draws a fleet of the model's own kind: about eight annual visits a
// unit, adjusted when found beyond 0.15, a calibration period a year.
func invented(units, analyzers int, seed uint64) Input {
	in, _ := inventedTruth(units, analyzers, seed)
	return in
}

// sds are the standard deviations a fleet is drawn with.
type sds struct{ noise, wander, slope, bias, period float64 }

var trueSDs = sds{trueNoise, trueWander, trueSlope, trueBias, truePeriodBias}

// inventedTruth adds each unit's true deviation a year after its last visit, at
// the reference temperature.
func inventedTruth(units, analyzers int, seed uint64) (Input, []float64) {
	return trueSDs.invented(units, analyzers, seed)
}

func (sd sds) invented(units, analyzers int, seed uint64) (Input, []float64) {
	g := rand.New(rand.NewPCG(seed, 99))
	const years = 8
	in := Input{Design: worldDesign, Rules: DefaultConfig(), Analyzers: analyzers, Periods: analyzers * years}
	var truths []float64
	bias := make([]float64, analyzers)
	period := make([]float64, in.Periods)
	for a := range bias {
		bias[a] = sd.bias * g.NormFloat64()
	}
	for a := range period {
		period[a] = sd.period * g.NormFloat64()
	}
	for u := range units {
		s, truth := sd.unit(g, fmt.Sprintf("unit %d", u), bias, period)
		in.Series, truths = append(in.Series, s), append(truths, truth)
	}
	return in, truths
}

func (sd sds) unit(g *rand.Rand, name string, bias, period []float64) (Series, float64) {
	z, age, slope := g.Float64(), 10*g.Float64(), sd.slope*g.NormFloat64()
	s := Series{Unit: name, Start: 0, Runs: []Run{{Rate: []float64{1, z, 0, age}, Grow: []float64{0, 0, 0, 1}}}}
	state, t := 0.05*g.NormFloat64(), 0.0
	home := g.IntN(len(bias))
	for {
		a := home
		if g.Float64() < 0.3 {
			a = g.IntN(len(bias))
		}
		p := a*8 + int(t)
		temp := 8*g.NormFloat64() - 3
		shown := func(kind Kind) Reading {
			y := state + trueTemp*temp + bias[a] + period[p] + sd.noise*g.NormFloat64()
			return Reading{Y: math.Round(y*1000) / 1000, Kind: kind, Analyzer: a, Period: p, Level: []float64{temp}}
		}
		found := shown(AsFound)
		v := Visit{T: t, Analyzer: a, Period: p, Adjusted: No, Readings: []Reading{found}, Level: []float64{temp}}
		if math.Abs(found.Y) > 0.15 {
			state -= found.Y - 0.03*g.NormFloat64() // set by the display
			v.Adjusted, v.Readings = Yes, append(v.Readings, shown(AsLeft))
		}
		s.Visits = append(s.Visits, v)
		dt := 0.6 + 0.8*g.Float64()
		done := t+dt >= 7.5
		if done {
			dt = 1
		}
		state += (trueRate+trueVent*z+slope)*dt + trueAge*((age+t)*dt+dt*dt/2) + sd.wander*math.Sqrt(dt)*g.NormFloat64()
		t += dt
		if done {
			return s, state
		}
	}
}
