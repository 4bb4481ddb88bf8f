package estimate

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"sort"

	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
)

// Names of the model's columns. Each class of burner control has a rate of its
// own and a vent effect of its own, and so has the stretch of its units whose
// vent is not known: the drift of a fixed fan must not be read off units under
// ratio control because a length is missing.
const (
	colAge        = "age"
	colAgeUnknown = "age unknown"
	colSince      = "years since calibration"
	colSinceNone  = "calibration not known"
	colSeasonCos  = "season, cosine"
	colSeasonSin  = "season, sine"
	otherClass    = "other"
	everyClass    = "every control"
	commonWords   = ", common vent"

	ventLengthWords = "vent, "      // by used length
	ventLossWords   = "vent loss, " // by loss over the fan's pressure
)

// minClass is how many differences a class of its own needs; smaller classes
// share one.
const minClass = 100

// perKelvin is what physics implies for the air temperature by burner
// control, CO2 points per kelvin: a fan and an orifice of fixed size gain 0.033
// at 9 % CO2 when the gas keeps its temperature, control by ratio half of that
// at most, control by oxygen next to nothing. Worked out from first principles.
var perKelvin = map[string]float64{
	string(judge.ControlFixedAir): 0.033, string(judge.ControlNaturalDraft): 0.033, string(judge.ControlLinkage): 0.033,
	string(judge.ControlMultiPoint): 0.033, string(judge.ControlRatio): 0.017, string(judge.ControlOxygenTrim): 0,
	everyClass: 0.02, otherClass: 0.02, string(judge.ControlUnknown): 0.02,
}

// columns says which covariates the model of one fire has, and in which place.
type columns struct {
	design  drift.Design
	control classes // by burner control, for the air temperature
	stratum classes // the same, units on a common vent apart, for the drift
	fuel    classes
	season  bool // cosine and sine in place of temperature
	level   map[string]int
	drift   map[string]int
	steps   []LevelStep
	middle  float64 // years since the install day at which the rates of time hold
}

// classes sorts the words of one attribute into those with a column of their
// own and one shared by the rest.
type classes struct {
	of    map[string]string
	names []string // the largest first, the rest by name
}

// class returns the class of a word; one that no reading has goes with the rest,
// or with the largest where there is no rest.
func (c *classes) class(word string) string {
	if k, ok := c.of[word]; ok {
		return k
	}
	if slices.Contains(c.names, otherClass) {
		return otherClass
	}
	return c.names[0]
}

// newClasses sorts words by their differences. The largest stands alone in any
// case; of the others those with minClass.
func newClasses(differences map[string]int) classes {
	return newClassesOf(differences, minClass)
}

// newClassesOf is newClasses with another least count.
func newClassesOf(differences map[string]int, least int) classes {
	words := make([]string, 0, len(differences))
	for w := range differences {
		words = append(words, w)
	}
	sort.Slice(words, func(i, j int) bool {
		if differences[words[i]] != differences[words[j]] {
			return differences[words[i]] > differences[words[j]]
		}
		return words[i] < words[j]
	})
	c := classes{of: map[string]string{}}
	var names []string
	pooled := false
	for i, w := range words {
		switch {
		case i == 0:
			c.of[w], c.names = w, []string{w}
		case differences[w] >= least && w != "":
			c.of[w] = w
			names = append(names, w)
		default:
			c.of[w], pooled = otherClass, true
		}
	}
	if len(words) == 0 {
		c.names = []string{""}
	}
	if pooled {
		names = append(names, otherClass)
	}
	slices.Sort(names)
	c.names = append(c.names, names...)
	return c
}

// strata parts the classes of control by common vents. A stratum needs minClass
// differences; smaller ones stay with their control.
func strata(control classes, common map[string]int) classes {
	c := classes{of: map[string]string{}, names: slices.Clone(control.names)}
	maps.Copy(c.of, control.of)
	pooled := map[string]int{}
	for word, n := range common {
		pooled[control.class(word)] += n
	}
	for word := range common {
		k := control.class(word)
		c.of[word+commonWords] = k
		if pooled[k] >= minClass {
			c.of[word+commonWords] = k + commonWords
			if !slices.Contains(c.names, k+commonWords) {
				c.names = append(c.names, k+commonWords)
			}
		}
	}
	slices.Sort(c.names[len(control.names):])
	return c
}

// newColumns lays out the model for some units, whose visits are known.
func newColumns(b *builder, units []*unitSeries) *columns {
	controls, common, fuels := countDifferences(units, b.rules)
	c := &columns{fuel: newClasses(fuels), level: map[string]int{}, drift: map[string]int{}, steps: b.rules.LevelSteps}
	c.control = newClasses(controls)
	if !b.rules.uses(controlColumns) {
		c.control = classes{of: map[string]string{}, names: []string{everyClass}}
		for k := range controls {
			c.control.of[k] = everyClass
		}
	}
	c.stratum = strata(c.control, common)
	c.middle = middleAge(units)
	c.levels(b)
	spread, priors := b.vents.Spread.SD, &b.rules.Priors
	rate, vent := &priors.Rate, &drift.Prior{Mean: priors.Vent.Mean / spread, SD: priors.Vent.SD / spread}
	for _, k := range c.stratum.names {
		c.addDrift(drift.Column{
			Name: timeColumn(k), Unit: "points a year", Coding: ofControl, Source: fromRegister + "burner control, common vent", Prior: rate,
		})
		c.addDrift(drift.Column{
			Name: b.vents.column(k), Unit: b.vents.effectUnit("points a year"), Coding: b.vents.coding(), Source: b.vents.source(),
			Prior: vent, Companion: ventUnknownColumn(k),
		})
		c.addDrift(drift.Column{
			Name: ventUnknownColumn(k), Unit: "points a year", Coding: "1 while the vent of a unit of this control is not known, else 0",
			Source: b.vents.source(), Prior: rate,
		})
	}
	c.addDrift(drift.Column{
		Name: colAge, Unit: "points a year per year", Coding: c.ageCoding(), Source: fromRegister + "install day",
		Prior: &priors.Age, Companion: colAgeUnknown,
	})
	c.addDrift(drift.Column{
		Name: colAgeUnknown, Unit: "points a year", Coding: "1 where the install day is not known, else 0", Source: fromRegister + "install day",
		Prior: about(*rate),
	})
	for _, k := range c.fuel.names[min(1, len(c.fuel.names)):] {
		c.addDrift(drift.Column{
			Name: fuelColumn(k), Unit: "points a year", Coding: "1 while burning it; against " + c.fuel.names[0],
			Source: fromRegister + "fuel and its changes",
			Prior:  about(*rate),
		})
	}
	c.design.Settling = b.rules.uses(settlingColumn)
	return c
}

// ageCoding says what the age is counted from: the rates of time are those of a
// unit of the middle age. With age counted from the install day, a prior on its
// coefficient would be one of many times the width on the rate all units share.
func (c *columns) ageCoding() string {
	return fmt.Sprintf("years since the install day, less %.0f", c.middle)
}

// middleAge is the mean age of the units at their readings, in whole years.
func middleAge(units []*unitSeries) float64 {
	sum, n := 0.0, 0.0
	for _, u := range units {
		if u.h.Unit.Installed == day.None {
			continue
		}
		for v := range u.s.Visits {
			if len(u.s.Visits[v].Readings) > 0 {
				sum, n = sum+u.s.Visits[v].T-years(u.h.Unit.Installed), n+1
			}
		}
	}
	if n == 0 {
		return 0
	}
	return math.Round(sum / n)
}

func (c *columns) addDrift(k drift.Column) {
	c.drift[k.Name] = len(c.design.Drift)
	c.design.Drift = append(c.design.Drift, k)
}

func (c *columns) addLevel(k drift.Column) {
	c.level[k.Name] = len(c.design.Level)
	c.design.Level = append(c.design.Level, k)
}

// levels adds the combustion-air temperature by burner control; where no temperature is to
// be had, the season, if the visits cover the year. Then the known steps and the column of
// as-found readings.
func (c *columns) levels(b *builder) {
	switch {
	case b.rules.uses(yearlyAir) && (b.climate.Given || b.climate.Outdoor.Readings > 0 || b.climate.Room.Readings > 0):
		for _, k := range c.control.names {
			c.addLevel(drift.Column{
				Name: airColumn(k), Unit: "points per K", Coding: "kelvin above 10 degC; 0 at other controls", Source: airSource,
				Prior: &drift.Prior{Mean: perKelvin[k], SD: b.rules.Priors.AirSD},
			})
		}
	case monthsVisited(b.histories) >= minMonths:
		c.season = true
		c.addLevel(drift.Column{Name: colSeasonCos, Unit: "points", Coding: yearCourse, Source: fromDays, Prior: &drift.Prior{SD: 0.3}})
		c.addLevel(drift.Column{Name: colSeasonSin, Unit: "points", Coding: yearCourse, Source: fromDays, Prior: &drift.Prior{SD: 0.3}})
	}
	for _, s := range c.steps {
		c.addLevel(drift.Column{
			Name: stepColumn(s), Unit: "points", Coding: "0 before the day, 1 from it on, in the area", Source: "configuration: level steps",
			Prior: &drift.Prior{SD: 0.3},
		})
	}
	c.addLevel(drift.Column{
		Name: colSince, Unit: "points a year", Coding: "years since the last calibration of the reading's analyzer; 0 where not known",
		Source: "calibrations", Prior: &drift.Prior{SD: b.rules.Priors.AgeingSD}, Instrument: true, MaxSE: b.rules.Priors.AgeingSD / 2,
	})
	c.addLevel(drift.Column{
		Name: colSinceNone, Unit: "points", Coding: "1 where no calibration of the analyzer is on record, else 0",
		Source: "calibrations", Prior: &drift.Prior{SD: undatedSD}, Instrument: true,
	})
	c.addLevel(drift.Column{Name: colAsFound, Unit: "points", Coding: "1 as found, 0 as left", Source: "readings: condition", Optional: true})
}

// undatedSD is how far the mean reading of analyzers without a calibration on
// record may lie from that of freshly calibrated ones, points (no source).
const undatedSD = 0.1

// What readers are told of covariates.
const (
	ofControl    = "1 at this control, 0 at others"
	fromRegister = "register: "
	airSource    = "readings: air at the intake; else the air that the climate implies for the day"
	yearCourse   = "one turn a year, from 1 January"
	fromDays     = "readings: day"
)

func timeColumn(class string) string { return "time, " + classWords(class) }

// ventUnknownColumn is the column of units of a class whose vent is not known: one column
// for all classes biased the rates of a fixed fan by what ratio control does.
func ventUnknownColumn(class string) string { return "vent unknown, " + classWords(class) }

func fuelColumn(fuel string) string { return "time, burning " + fuel }

// stepColumn names a known step.
func stepColumn(s LevelStep) string {
	if s.Area == "*" {
		return fmt.Sprintf("level from %s, all areas", iso(s.Day))
	}
	return fmt.Sprintf("level from %s, %s", iso(s.Day), s.Area)
}

// classWords names a class of burner controls.
func classWords(class string) string {
	switch class {
	case "":
		return "control not recorded"
	case commonWords:
		return "control not recorded" + commonWords
	}
	return class
}

// airColumn names the temperature column of a class of burner controls.
func airColumn(class string) string { return "air temperature, " + classWords(class) }

// monthsVisited counts the calendar months in which readings were taken.
func monthsVisited(histories []*judge.History) int {
	var seen [13]bool
	n := 0
	for _, h := range histories {
		for i := range h.Readings {
			if m := monthOf(h.Readings[i].Day); !seen[m] {
				seen[m] = true
				n++
			}
		}
	}
	return n
}

// countDifferences counts differences by control, by control of units on a
// common vent, and by fuel: a class is as large as what can be compared in it.
func countDifferences(units []*unitSeries, rules *Config) (controls, common, fuels map[string]int) {
	controls, common, fuels = map[string]int{}, map[string]int{}, map[string]int{}
	for _, u := range units {
		controls[string(u.h.Unit.Control)] += 0
		placed := drift.Segment(&u.s, rules.Drift)
		for k := 1; k < len(placed); k++ {
			if placed[k].Segment != placed[k-1].Segment {
				continue
			}
			x := &u.h.Readings[u.at[placed[k].Visit][placed[k].Reading]]
			if x.VentRun >= 0 && rules.onCommonVent(&u.h.VentRuns[x.VentRun]) {
				common[string(u.h.Unit.Control)]++
			}
			controls[string(u.h.Unit.Control)]++
			fuels[x.Fuel]++
		}
	}
	return controls, common, fuels
}
