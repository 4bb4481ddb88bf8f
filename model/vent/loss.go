package vent

import "math"

// Loss is the pressure a run takes from a stream.
type Loss struct {
	FrictionPa float64
	FittingsPa Range
	TotalPa    Range
	VelocityMS float64 // highest of the sections
	Reynolds   float64 // lowest of the sections
}

// VentLoss returns the loss of a vent run at a stream, terminal included:
//
//	dp = sum over sections of (f L/D + sum K) rho v^2/2
//
// NaN where a size or a count is not known, and for a run without sections.
func (r Run) VentLoss(s Stream) Loss { return r.loss(s, terminalK(r.Terminal)) }

// AirLoss returns the loss of a combustion-air run at a stream, its entrance
// included. The appliance takes in what velocity is left.
func (r Run) AirLoss(s Stream) Loss { return r.loss(s, entranceK()) }

// loss adds up the sections; the end lies in the last one.
func (r Run) loss(s Stream, end Range) Loss {
	nan := math.NaN()
	if len(r.Sections) == 0 {
		return Loss{nan, Range{nan, nan}, Range{nan, nan}, nan, nan}
	}
	l := Loss{Reynolds: math.Inf(1)}
	for i, x := range r.Sections {
		v, re := s.velocityMS(x.DiameterM), s.reynolds(x.DiameterM)
		dynamicPa := s.densityKgM3() * v * v / 2
		l.FrictionPa += churchill(re, x.RoughnessM/x.DiameterM) * x.LengthM / x.DiameterM * dynamicPa
		k := r.elbowsK(x)
		if i == len(r.Sections)-1 {
			k = k.Add(end)
		}
		l.FittingsPa = l.FittingsPa.Add(k.times(dynamicPa))
		l.VelocityMS, l.Reynolds = math.Max(l.VelocityMS, v), math.Min(l.Reynolds, re)
	}
	l.TotalPa = l.FittingsPa.Add(exactly(l.FrictionPa))
	return l
}

// elbowsK returns the loss coefficient of a section's elbows together.
func (r Run) elbowsK(x Section) Range {
	at90, at45 := elbowK(r.Elbow)
	return at90.times(count(x.Elbows90)).Add(at45.times(count(x.Elbows45)))
}
