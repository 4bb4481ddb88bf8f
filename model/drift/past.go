package drift

import "math"

// past is a reading that was made, compared with what was forecast of it from what
// came before: one component a conditioning state and kind of move.
type past struct {
	components []component
	rich, lean float64 // how far it lay outside, from 0 to 1
}

// component is one normal distribution of what a reading would show.
type component struct {
	weight, state, variance, years float64 // of the state: mean, variance, years since the reading it starts from
	rich, lean, sd                 float64 // from the reading's mean to both ends of the band, and its spread
}

// softly is the spread, points, over which a reading goes from inside to outside, and
// its forecast with it: about half a step of a display with one decimal, so that limits
// which fall on a shown value favour neither side.
const softly = 0.05

// pastOf forecasts reading r from the record before its visit, with the parameters of
// the fit; ok is false where that record does not lead up to it.
func (p *Predictor) pastOf(u, r int, lo, hi float64) (out past, ok bool) {
	f := p.fit.fleet
	h := p.history(u)
	v := h.visit(r)
	list, marks := h.statesUntil(int(f.vis[r]) - 1)
	if v.Before&^ChangeTarget != 0 || marks&(NoRecord|ChangedSince) != 0 {
		return out, false
	}
	y := f.y[r] + v.TargetStep
	out.rich, out.lean = beyondEnd(y-hi, softly), beyondEnd(lo-y, softly)
	point := Point{T: f.t[r], Level: h.reading(r).Level, Analyzer: int(f.an[r]), Period: int(f.per[r]), Made: true}
	p.without = r
	defer func() { p.without = -1 }()
	for _, a := range list {
		if a.beforeRecords || !(f.t[r] > a.t) {
			return out, false
		}
		b := p.base(u, a)
		d := p.onDay(u, &b, &point)
		p.fit.Held.hold(&d)
		p.reading(&d, &b, &point)
		for _, n := range p.fit.moves.spread(nil, a.weight, d.readingMean, d.readingVar, d.moved) {
			g := component{
				weight: n.Weight, state: d.mean, variance: d.variance, years: d.ahead,
				rich: n.Mean - hi, lean: lo - n.Mean, sd: math.Hypot(n.SD, softly),
			}
			if math.IsNaN(n.Mean) || !(n.SD > 0) {
				return out, false
			}
			if p.fit.Held.apart(&d) {
				g.variance = 0
			}
			out.components = append(out.components, g)
		}
	}
	return out, len(out.components) > 0
}

// beyondEnd is the probability that a normal value lies beyond an end of a band, which
// its mean exceeds by so much; 0 where there is no end.
func beyondEnd(over, sd float64) float64 {
	if math.IsNaN(over) {
		return 0
	}
	return phi(over / sd)
}

// Past readings that are looked at: the newest of each of some units, evenly spaced
// over the fleet.
const (
	pastUnits = 1000
	pastEach  = 3
)

// pasts are past readings that the calendar chose, and not how the burner stood: a
// unit that nobody was called to since its last visit, as of today. Days give the bands.
func pasts(fit *Fit, units []int, days []Point) (all []past) {
	f, p := fit.fleet, fit.Predictor()
	step := max(1, (len(units)+pastUnits-1)/pastUnits)
	for i := 0; i < len(units); i += step {
		u, n := units[i], 0
		h := p.history(u)
		for r := int(f.start[u+1]) - 1; r >= int(f.start[u]) && n < pastEach; r-- {
			if x := h.reading(r); f.gone[r] || x.Use != ForFit || x.Kind != AsFound || x.OtherP > 0 || h.visit(r).Chosen {
				continue
			}
			if one, ok := p.pastOf(u, r, days[i].Lo, days[i].Hi); ok {
				all, n = append(all, one), n+1
			}
		}
	}
	return all
}
