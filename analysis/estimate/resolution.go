package estimate

import (
	"cmp"
	"math"
	"slices"

	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// Source says in which steps a source of records shows its gas values, and which
// of the two the model reads.
type Source struct {
	Name       string
	Readings   int     // with a gas value
	CO2Step    float64 // points; NaN where there are too few values
	O2Step     float64 // points of O2
	UsesO2     bool    // O2, turned into CO2, where both are recorded
	StepPoints float64 // of what is used, points of CO2

	o2StepPoints float64 // of O2, points of CO2
}

// coarse is the step from which coefficients are not usable: the age effect is
// biased, and units can still be put in order.
const coarse = 0.5

// namedStep is the step from which a source is named to readers.
const namedStep = 0.2

// coarseShare is the share of readings in such steps that spoils the fit.
const coarseShare = 0.2

// minGrid is how many values a step is told from.
const minGrid = 40

// sources say in which steps each source shows its values, and so which of two gases a
// reading counts by.
type sources struct {
	rules *Config
	list  []Source
	by    map[string]*Source // by name
}

// readSources looks at every source's values.
func readSources(rules *Config, histories []*judge.History) sources {
	out := sources{rules: rules, by: map[string]*Source{}}
	type values struct{ co2, o2, apart, slope []float64 }
	all := map[string]*values{}
	for _, h := range histories {
		for i := range h.Readings {
			x := &h.Readings[i]
			v := &h.Visits[x.Visit]
			if v.Reason == judge.FactoryTest || math.IsNaN(x.CO2Percent) && math.IsNaN(x.O2Percent) {
				continue
			}
			s := all[v.Source]
			if s == nil {
				s = &values{}
				all[v.Source] = s
			}
			s.co2, s.o2 = append(s.co2, x.CO2Percent), append(s.o2, x.O2Percent)
			if fuel, ok := rules.Judge.Fuels[x.Fuel]; ok {
				s.slope = append(s.slope, fuel.CO2PerO2())
				if d := x.CO2Percent - fuel.CO2FromO2(x.O2Percent); !math.IsNaN(d) {
					s.apart = append(s.apart, math.Abs(d))
				}
			}
		}
	}
	for name, v := range all {
		s := Source{Name: name, Readings: len(v.co2), CO2Step: stepOf(v.co2), O2Step: stepOf(v.o2)}
		asCO2 := s.O2Step * median(v.slope)
		s.o2StepPoints = asCO2
		// the finer one, where the two conversions agree to the steps they are shown in
		s.UsesO2 = rules.uses(finestGas) && asCO2 < s.CO2Step-1e-9 && median(v.apart) <= s.CO2Step/2+asCO2/2
		s.StepPoints = s.CO2Step
		if s.UsesO2 || math.IsNaN(s.CO2Step) {
			s.StepPoints = asCO2
		}
		out.list = append(out.list, s)
	}
	slices.SortFunc(out.list, func(a, b Source) int { return cmp.Compare(a.Name, b.Name) })
	for i := range out.list {
		out.by[out.list[i].Name] = &out.list[i]
	}
	return out
}

// stepOf finds the step of values: whole ones, 0.5 or 0.2 by the model's own rule,
// else the power of ten that carries them; NaN without enough of them.
func stepOf(values []float64) float64 {
	values = slices.DeleteFunc(slices.Clone(values), math.IsNaN)
	if len(values) < minGrid {
		return math.NaN()
	}
	if onGrid(values, 1) {
		return 1
	}
	if r := drift.DetectResolution(values); r.Step > 0 {
		return r.Step
	}
	for _, step := range []float64{0.1, 0.01} {
		if onGrid(values, step) {
			return step
		}
	}
	return 0
}

// onGrid reports whether nearly all values are multiples of a step.
func onGrid(values []float64, step float64) bool {
	on := 0
	for _, v := range values {
		if k := v / step; math.Abs(k-math.Round(k)) < 1e-6 {
			on++
		}
	}
	return float64(on) >= 0.95*float64(len(values))
}

// median returns the middle of values, NaN of none.
func median(values []float64) float64 {
	if len(values) == 0 {
		return math.NaN()
	}
	s := slices.Sorted(slices.Values(values))
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}

// tooCoarse says whether so many readings come in steps of half a point that
// coefficients cannot be used.
func (s *sources) tooCoarse() bool {
	n, bad := 0, 0
	for i := range s.list {
		n += s.list[i].Readings
		if s.list[i].StepPoints >= coarse {
			bad += s.list[i].Readings
		}
	}
	return float64(bad) > coarseShare*float64(n)
}

// Coarse reports whether the steps are so coarse that drift rates cannot be used.
func (s *Source) Coarse() bool { return s.StepPoints >= coarse }

// notes names the source where its steps are coarse enough to matter to a reader.
func (s *Source) notes() []Note {
	if !(s.StepPoints >= namedStep) {
		return nil
	}
	return []Note{CoarseSource{Source: s}}
}

// byO2 reports whether a reading that has both gases counts by its O2: its source
// shows that in finer steps, and the two agree or its CO2 was computed for another
// fuel.
func (s *sources) byO2(h *judge.History, x *judge.Reading) bool {
	name := h.Visits[x.Visit].Source
	of, pairs := s.by[name], s.rules.Judge.PairsOf(name)
	both := !math.IsNaN(x.O2Percent) && !math.IsNaN(x.CO2Percent)
	return of != nil && of.UsesO2 && both && (pairs.Agree(x) || pairs.SetToOther(x))
}

// deviation is CO2 less target of a reading, points, by the gas it counts by.
func (s *sources) deviation(h *judge.History, x *judge.Reading) float64 {
	j := &s.rules.Judge
	if s.byO2(h, x) {
		if fuel, ok := j.Fuels[x.Fuel]; ok {
			if d := fuel.CO2FromO2(x.O2Percent) - j.TargetCO2(&x.Target, x.Fuel); !math.IsNaN(d) {
				return d
			}
		}
	}
	return j.Deviation(x)
}

// coarseStep is the step in which the gas that a reading counts by is shown, points
// of CO2; 0 where it is finer than coarse, or not known.
func (s *sources) coarseStep(h *judge.History, x *judge.Reading) float64 {
	of := s.by[h.Visits[x.Visit].Source]
	if of == nil {
		return 0
	}
	step := of.CO2Step
	if s.byO2(h, x) || math.IsNaN(x.CO2Percent) {
		step = of.o2StepPoints
	}
	if !(step >= coarse) {
		return 0
	}
	return step
}
