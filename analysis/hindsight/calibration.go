package hindsight

import (
	"math"
	"math/rand/v2"

	"fluedrift/analysis"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// offP is how rarely true probabilities may show a miscalibration as large before
// the model's count as off: one in twenty.
const offP = 0.05

// curvePoints are how many probabilities the curve is drawn at.
const curvePoints = 101

// calibration fits the curve and lets a forecaster with true probabilities be
// judged by the same visits: outcomes are drawn from the model's probabilities,
// one draw a visit and fire however many origins look at it, and fitted alike.
func calibration(cases []Case, s Config) Calibration {
	p, y := chancesOf(cases, Model), outcomesOf(cases)
	order := ascending(p)
	f := fit(p, y, nil, order)
	out := Calibration{Observed: brierOf(p, y, nil, order).Miscalibration}
	type seen struct {
		serial string
		fire   judge.Fire
		day    day.Day
	}
	visit, of := map[seen]int{}, make([]int, len(cases))
	for i := range cases {
		k := seen{cases[i].Serial, cases[i].Fire, cases[i].VisitDay}
		at, ok := visit[k]
		if !ok {
			at = len(visit)
			visit[k] = at
		}
		of[i] = at
	}
	low, high := p[order[0]], p[order[len(order)-1]]
	at := make([]float64, curvePoints)
	for k := range at {
		at[k] = low + (high-low)*float64(k)/(curvePoints-1)
	}
	r := rand.New(rand.NewPCG(s.Seed, 21))
	draw, drawn := make([]float64, len(visit)), make([][]float64, curvePoints)
	var mis []float64
	worse := 1.0
	for range s.Draws {
		for k := range draw {
			draw[k] = r.Float64()
		}
		for i := range y {
			y[i] = 0
			if draw[of[i]] < p[i] {
				y[i] = 1
			}
		}
		g, m := fit(p, y, nil, order), brierOf(p, y, nil, order).Miscalibration
		mis = append(mis, m)
		out.Perfect += m / float64(s.Draws)
		if m >= out.Observed {
			worse++
		}
		for k, v := range at {
			drawn[k] = append(drawn[k], g.at(v))
		}
	}
	out.P = worse / float64(s.Draws+1)
	out.Perfect95, out.Off = quantile(mis, 0.95), out.P < offP
	for k, v := range at {
		out.Curve = append(out.Curve, CurvePoint{v, f.at(v), quantile(drawn[k], 0.05), quantile(drawn[k], 0.95)})
	}
	return out
}

// Recalibration is a monotone map of probabilities, learned on visits known by
// the last origins and tried on those.
type Recalibration struct {
	Offered       bool // the probabilities are off beyond noise, and the map helps on later origins
	Map           Isotonic
	LearnedUntil  day.Day // visits up to this day
	Before, After float64 // Brier score of the later origins' cases
	Later         int     // how many
}

// recalibrate learns the map on routine visits before the later half of the origins and
// tries it on these.
func recalibrate(cases []Case, off bool, s Config) Recalibration {
	out := Recalibration{Before: math.NaN(), After: math.NaN()}
	if len(cases) == 0 {
		return out
	}
	split := cases[len(cases)/2].Origin
	out.LearnedUntil = split
	var p, y, lp, ly []float64
	for i := range cases {
		v := 0.0
		if cases[i].Out {
			v = 1
		}
		switch {
		case cases[i].VisitDay <= split:
			p, y = append(p, cases[i].Chance[Model]), append(y, v)
		case cases[i].Origin >= split:
			lp, ly = append(lp, cases[i].Chance[Model]), append(ly, v)
		}
	}
	if len(p) < 200 || len(lp) < 200 {
		return out
	}
	out.Map, out.Later = fit(p, y, nil, nil), len(lp)
	out.Before = brierOf(lp, ly, nil, nil).Mean
	for i := range lp {
		lp[i] = out.Map.at(lp[i])
	}
	out.After = brierOf(lp, ly, nil, nil).Mean
	out.Offered = off && out.After < out.Before
	return out
}

// Apply puts the map on a forecast's probabilities and marks every fire it changed,
// with the day that was looked back from: both sides by the same factor. What is not foretold stays so.
func (r *Recalibration) Apply(f *analysis.Forecast, lookedBack day.Day) {
	for i := range f.Fires {
		fire := &f.Fires[i]
		changed := false
		for _, c := range []*analysis.Probability{&fire.Today, &fire.Planned, &fire.Worst, &fire.Earlier} {
			if out := c.Out(); out > 0 {
				factor := r.Map.at(out) / out
				c.Rich, c.Lean, changed = c.Rich*factor, c.Lean*factor, true
			}
		}
		if changed {
			fire.Marks = append(fire.Marks, analysis.Mark{Kind: analysis.MarkByHindsight, Day: lookedBack})
		}
	}
}
