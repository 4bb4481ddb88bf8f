package study

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"
)

// feature is something that configurations are compared by.
type feature struct {
	kind  Feature
	unit  string
	asked float64
	of    func(*UnitVent) float64
}

// features lists what is given and can be compared.
func (a *Answer) features() []feature {
	c := &a.Configuration
	all := []feature{
		{VentLength, "m", c.LengthM, func(u *UnitVent) float64 { return u.LengthM }},
		{VentDiameter, "m", c.DiameterM, func(u *UnitVent) float64 { return u.DiameterM }},
		{Elbows90, "", countOf(c.Elbows90), func(u *UnitVent) float64 { return countOf(u.Elbows90) }},
		{Elbows45, "", countOf(c.Elbows45), func(u *UnitVent) float64 { return countOf(u.Elbows45) }},
		{Input, "kW", c.InputKW, func(u *UnitVent) float64 { return u.InputKW }},
		{ShareOfRun, "", a.OfRun, func(u *UnitVent) float64 { return u.OfRun }},
		{ShareOfFan, "", a.OfFan, func(u *UnitVent) float64 { return u.OfFan }},
	}
	return slices.DeleteFunc(all, func(f feature) bool { return math.IsNaN(f.asked) })
}

// countOf is a count as a number, NaN where it is not known.
func countOf(n int) float64 {
	if n < 0 {
		return math.NaN()
	}
	return float64(n)
}

// near measures how far a configuration lies from the units with rows that may be
// compared: by range and distance in each of what is given, assumed and measured, and
// by the hull of what is given together.
func (a asked) near(may func(*UnitVent) bool) {
	list := a.features()
	var units []*UnitVent
	for i := range a.s.Units {
		u := &a.s.Units[i]
		if u.Rows > 0 && may(u) && !slices.ContainsFunc(list, func(f feature) bool { return !whole(f.of(u)) }) {
			units = append(units, u)
		}
	}
	a.Distance = math.NaN()
	if len(units) < 2 {
		a.Outside = append(a.Outside, NoneComparable{})
		return
	}
	var asked, own []float64
	points, hull := make([][]float64, len(units)), make([][]float64, len(units))
	for _, f := range list {
		values := make([]float64, len(units))
		for i, u := range units {
			values[i] = f.of(u)
		}
		low, high := slices.Min(values), slices.Max(values)
		if f.asked < low || f.asked > high {
			a.Outside = append(a.Outside, OutOfRange{Feature: f.kind, Unit: f.unit, At: f.asked, Least: low, Most: high})
		}
		mean, sd := stat.MeanStdDev(values, nil)
		if !(sd > 0) {
			sd = 1 // all alike: only the range speaks
		}
		a.Compared, asked = append(a.Compared, f.kind), append(asked, (f.asked-mean)/sd)
		for i, v := range values {
			points[i] = append(points[i], (v-mean)/sd)
		}
		if slices.Contains(a.given, f.kind) {
			own = append(own, (f.asked-mean)/sd)
			for i, v := range values {
				hull[i] = append(hull[i], (v-mean)/sd)
			}
		}
	}
	if len(a.Outside) == 0 && len(own) > 0 && !inHull(own, hull) {
		a.Outside = append(a.Outside, NoMixture{})
	}
	for i, u := range units {
		a.Nearest = append(a.Nearest, Near{*u, floats.Distance(points[i], asked, 2) / math.Sqrt(float64(len(asked)))})
	}
	slices.SortStableFunc(a.Nearest, func(x, y Near) int { return cmp.Compare(x.Distance, y.Distance) })
	a.Nearest = a.Nearest[:min(nearest, len(a.Nearest))]
	a.Distance = a.Nearest[0].Distance
}

// inHull says whether a point is a mixture of others: from the nearest of them it
// goes on to the mixture nearest to the point, by the best step towards one of them
// or away from one that has a part (Frank and Wolfe, Naval Res. Logist. 3, 1956, with
// Wolfe's away steps; from memory). Outside is proved by a plane between; within a
// thousandth of a standard deviation counts as inside.
func inHull(at []float64, points [][]float64) bool {
	const close, most = 1e-3, 5000
	part, mixture := map[int]float64{}, []float64(nil)
	best := 0
	for i := range points {
		if floats.Distance(at, points[i], 2) < floats.Distance(at, points[best], 2) {
			best = i
		}
	}
	part[best], mixture = 1, slices.Clone(points[best])
	for range most {
		gap := floats.SubTo(make([]float64, len(at)), mixture, at) // from the point to the mixture
		if floats.Norm(gap, 2) < close {
			return true
		}
		to, away := 0, -1
		for i, p := range points {
			if floats.Dot(gap, p) < floats.Dot(gap, points[to]) {
				to = i
			}
			if part[i] > 0 && (away < 0 || floats.Dot(gap, p) > floats.Dot(gap, points[away])) {
				away = i
			}
		}
		if floats.Dot(gap, points[to]) > floats.Dot(gap, at) { // all lie beyond a plane
			return false
		}
		step(mixture, gap, points, part, to, away)
	}
	return false
}

// step moves the mixture towards one point or away from another, whichever falls
// faster.
func step(mixture, gap []float64, points [][]float64, part map[int]float64, to, away int) {
	direction, longest := make([]float64, len(gap)), 1.0
	toward := floats.Dot(gap, points[to])-floats.Dot(gap, mixture) <= floats.Dot(gap, mixture)-floats.Dot(gap, points[away])
	if toward {
		floats.SubTo(direction, points[to], mixture)
	} else {
		floats.SubTo(direction, mixture, points[away])
		longest = part[away] / (1 - part[away])
	}
	length := math.Min(-floats.Dot(gap, direction)/math.Max(floats.Dot(direction, direction), 1e-300), longest)
	floats.AddScaled(mixture, length, direction)
	change := -length
	if !toward {
		change = length
	}
	for i := range part {
		part[i] *= 1 + change
	}
	if toward {
		part[to] += length
		return
	}
	part[away] -= length
	if length == longest {
		delete(part, away)
	}
}
