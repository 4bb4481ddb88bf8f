package estimate

import (
	"math"
	"slices"
	"sort"

	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// Names of the model's columns. Each class of burner control has a rate of its
// own and a vent effect of its own, and so has the stretch of its units whose
// vent is not known: the drift of a fixed fan must not be read off units under
// ratio control for want of a length.
const (
	colAge        = "age"
	colAgeUnknown = "age unknown"
	colSeasonCos  = "season, cosine"
	colSeasonSin  = "season, sine"
	otherClass    = "other"
)

// minClass is how many differences a class of its own needs; smaller classes
// share one.
const minClass = 100

// perKelvin is what physics lets expect of the air temperature by burner
// control, CO2 points per kelvin: a fan and an orifice of fixed size gain 0.033
// at 9 % CO2 when the gas keeps its temperature, control by ratio half of that
// at most, control by oxygen next to nothing. Worked out from first principles.
var perKelvin = map[string]float64{"fixed air": 0.033, "natural draft": 0.033, "linkage": 0.033, "multi-point": 0.033, "ratio": 0.017, "oxygen trim": 0}

// columns says which covariates the model of one fire has, and in which place.
type columns struct {
	design  drift.Design
	control classes
	fuel    classes
	season  bool // cosine and sine in place of temperature
	level   map[string]int
	drift   map[string]int
}

// classes sorts the words of one attribute into those with a column of their
// own, one shared by the rest, and the reference that needs none.
type classes struct {
	reference string
	of        map[string]string
	names     []string // classes but the reference, sorted
}

// class returns the class of a word; one that no reading has goes with the rest,
// or with the reference where there is no rest.
func (c *classes) class(word string) string {
	if k, ok := c.of[word]; ok {
		return k
	}
	if slices.Contains(c.names, otherClass) {
		return otherClass
	}
	return c.reference
}

// makeClasses counts readings by word: about one difference each.
func makeClasses(counts map[string]int) classes {
	words := make([]string, 0, len(counts))
	for w := range counts {
		words = append(words, w)
	}
	sort.Slice(words, func(i, j int) bool {
		if counts[words[i]] != counts[words[j]] {
			return counts[words[i]] > counts[words[j]]
		}
		return words[i] < words[j]
	})
	c := classes{of: map[string]string{}}
	pooled := 0
	for i, w := range words {
		switch {
		case i == 0:
			c.reference, c.of[w] = w, w
		case counts[w] >= minClass && w != "":
			c.of[w] = w
			c.names = append(c.names, w)
		default:
			c.of[w] = otherClass
			pooled += counts[w]
		}
	}
	if pooled > 0 {
		c.names = append(c.names, otherClass)
	}
	sort.Strings(c.names)
	return c
}

// makeColumns lays out the model of one fire. ventSD is the spread of the vent
// covariate over the fleet, which its prior is stated in.
func (b *builder) makeColumns(holds func(*judge.Reading) bool) *columns {
	controls, fuels, ventSD := b.countClasses(holds)
	c := &columns{control: makeClasses(controls), fuel: makeClasses(fuels), level: map[string]int{}, drift: map[string]int{}}
	c.levels(b)
	for _, k := range c.controls() {
		c.addDrift(drift.Column{Name: timeColumn(k), Unit: "points a year", Prior: &drift.Prior{SD: 0.05}})
		c.addDrift(drift.Column{Name: ventColumn(k), Unit: "points a year per longest run", Prior: &drift.Prior{SD: 0.1 / ventSD}, Companion: ventUnknownColumn(k)})
		c.addDrift(drift.Column{Name: ventUnknownColumn(k), Unit: "points a year", Prior: &drift.Prior{SD: 0.05}})
	}
	c.addDrift(drift.Column{Name: colAge, Unit: "points a year per year", Prior: &drift.Prior{SD: 0.01}, Companion: colAgeUnknown})
	c.addDrift(drift.Column{Name: colAgeUnknown, Unit: "points a year", Prior: &drift.Prior{SD: 0.05}})
	for _, k := range c.fuel.names {
		c.addDrift(drift.Column{Name: fuelColumn(k), Unit: "points a year", Prior: &drift.Prior{SD: 0.05}})
	}
	c.design.Settling = true
	return c
}

func (c *columns) addDrift(k drift.Column) {
	c.drift[k.Name] = len(c.design.Drift)
	c.design.Drift = append(c.design.Drift, k)
}

func (c *columns) addLevel(k drift.Column) {
	c.level[k.Name] = len(c.design.Level)
	c.design.Level = append(c.design.Level, k)
}

// levels adds the combustion-air temperature by burner control; where no
// temperature is to be had, the season, if the visits cover the year.
func (c *columns) levels(b *builder) {
	if b.climate.Given || b.climate.Outdoor.Readings > 0 || b.climate.Room.Readings > 0 {
		for _, k := range c.controls() {
			c.addLevel(drift.Column{Name: airColumn(k), Unit: "points per K", Prior: &drift.Prior{Mean: perKelvin[k], SD: 0.03}})
		}
		return
	}
	if b.monthsVisited() >= minMonths {
		c.season = true
		c.addLevel(drift.Column{Name: colSeasonCos, Unit: "points", Prior: &drift.Prior{SD: 0.3}})
		c.addLevel(drift.Column{Name: colSeasonSin, Unit: "points", Prior: &drift.Prior{SD: 0.3}})
	}
}

// controls are the classes of burner control, the largest first.
func (c *columns) controls() []string {
	return append([]string{c.control.reference}, c.control.names...)
}

func timeColumn(class string) string        { return "time, " + classWords(class) }
func ventColumn(class string) string        { return "vent, " + classWords(class) }
func ventUnknownColumn(class string) string { return "vent unknown, " + classWords(class) }
func fuelColumn(fuel string) string         { return "time, burning " + fuel }

// classWords names a class of burner controls.
func classWords(class string) string {
	if class == "" {
		return "control not recorded"
	}
	return class
}

// airColumn names the temperature column of a class of burner controls.
func airColumn(class string) string { return "air temperature, " + classWords(class) }

// monthsVisited counts the calendar months in which readings were taken.
func (b *builder) monthsVisited() int {
	var seen [13]bool
	n := 0
	for _, h := range b.histories {
		for i := range h.Readings {
			if m := monthOf(h.Readings[i].Day); !seen[m] {
				seen[m] = true
				n++
			}
		}
	}
	return n
}

// countClasses counts readings by control and fuel, and takes the spread of the
// vent covariate between units.
func (b *builder) countClasses(holds func(*judge.Reading) bool) (controls, fuels map[string]int, ventSD float64) {
	controls, fuels = map[string]int{}, map[string]int{}
	var n, sum, sq float64
	for _, h := range b.histories {
		for i := range h.Readings {
			if x := &h.Readings[i]; holds(x) {
				controls[h.Unit.Control]++
				fuels[x.Fuel]++
			}
		}
		if z := b.ventNow(h); !math.IsNaN(z) {
			n, sum, sq = n+1, sum+z, sq+z*z
		}
	}
	ventSD = 1
	if n > 2 {
		if v := (sq - sum*sum/n) / (n - 1); v > 1e-12 {
			ventSD = math.Sqrt(v)
		}
	}
	return controls, fuels, ventSD
}
