package judge

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"fluedrift/model/combustion"
	"fluedrift/model/day"
)

// FuelSetting is one fuel an analyzer was set to, as its pairs show it.
type FuelSetting struct {
	Fuel          string // the declared fuel nearest to it
	CO2MaxPercent float64
	Pairs         int
}

// OtherFuelAt is a visit at which an analyzer was set to another fuel than the
// unit is registered with: the setting or the register is wrong.
type OtherFuelAt struct {
	History           int // index into the fleet
	Serial            string
	Day               day.Day
	Registered, SetTo string
	Set               bool    // the burner was, or may have been, set by it
	Newest            bool    // nothing newer is on record at a fire
	MeantPoints       float64 // what the O2 means on the registered fuel, against target: the last pair; NaN not known
}

// AnalyzerSetting is what the pairs of O2 and CO2 of one analyzer say over a
// whole fleet.
type AnalyzerSetting struct {
	Analyzer string
	StandIn  bool // no analyzer is recorded: source and technician stand for it
	Pairs    int
	Computed bool    // CO2 is computed from O2: a pair is one observation
	Share    float64 // of the pairs that its settings explain within rounding
	FoSpread float64 // standard deviation of Fo about the setting; NaN below two pairs
	Settings []FuelSetting
	Other    []OtherFuelAt // only where CO2 is computed; by day, then serial
}

// Needed before an analyzer is said to compute CO2, as for a unit's pairs (see
// combustion.InferCO2Max).
const (
	settingPairs = 8
	settingShare = 0.9
)

// AnalyzerSettings looks at the pairs of each analyzer of a fleet. Pairs are
// parted by the declared fuel they lie nearest to, and one CO2max is sought for
// each part; where these explain nearly all pairs within their rounding, CO2
// was computed, and each part is a setting. Fuels that a pair cannot tell apart
// (propane and butane) count as one. An analyzer that measures both gases has
// no setting to be wrong, and dilution with air is not seen either way.
//
// The order is by name; the histories are not changed.
func AnalyzerSettings(histories []*History, r Config) []AnalyzerSetting {
	at := map[string]*pairsOf{}
	for n, h := range histories {
		c := pairCheck{&checker{h: h, r: &r}}
		for i := range h.Readings {
			x := &h.Readings[i]
			if !c.usablePair(x) {
				continue
			}
			name, standIn := instrumentOf(h, x)
			if name == "" {
				continue
			}
			if at[name] == nil {
				at[name] = &pairsOf{standIn: standIn, byFuel: map[string][]pairAt{}}
			}
			fuel := c.bestFuel(x, math.Inf(1), false)
			at[name].byFuel[fuel] = append(at[name].byFuel[fuel], pairAt{n, i, c.pairOf(x, false)})
		}
	}
	all := make([]AnalyzerSetting, 0, len(at))
	for name, p := range at {
		all = append(all, p.setting(name, histories, &r))
	}
	slices.SortFunc(all, func(a, b AnalyzerSetting) int { return strings.Compare(a.Analyzer, b.Analyzer) })
	return all
}

// pairAt is one pair and where it stands.
type pairAt struct {
	history, reading int
	pair             combustion.Pair
}

// pairsOf is one analyzer's pairs by the fuel they lie nearest to.
type pairsOf struct {
	standIn bool
	byFuel  map[string][]pairAt
}

// instrumentOf names what a reading was taken with.
func instrumentOf(h *History, x *Reading) (name string, standIn bool) {
	v := &h.Visits[x.Visit]
	switch {
	case x.Analyzer != "":
		return x.Analyzer, false
	case v.Analyzer != "":
		return v.Analyzer, false
	case v.Technician != "":
		return v.Source + "/" + v.Technician, true
	}
	return "", false
}

// setting infers what one analyzer was set to.
func (p *pairsOf) setting(name string, histories []*History, r *Config) AnalyzerSetting {
	a := AnalyzerSetting{Analyzer: name, StandIn: p.standIn, FoSpread: math.NaN()}
	explained, squares := 0.0, 0.0
	for _, fuel := range sortedFuels(p.byFuel) {
		some := p.byFuel[fuel]
		pairs := make([]combustion.Pair, len(some))
		for k := range some {
			pairs[k] = some[k].pair
		}
		inferred := combustion.InferCO2Max(pairs, r.Fuels[fuel].Air)
		a.Pairs += inferred.Pairs
		explained += inferred.Share * float64(inferred.Pairs)
		if n := float64(inferred.Pairs); n > 1 {
			squares += inferred.FoSpread * inferred.FoSpread * (n - 1)
		}
		a.Settings = append(a.Settings, FuelSetting{fuel, (inferred.Within.Low + inferred.Within.High) / 2, inferred.Pairs})
	}
	a.Share = explained / float64(a.Pairs)
	a.Computed = a.Pairs >= settingPairs && a.Share >= settingShare
	if a.Pairs > len(a.Settings) {
		a.FoSpread = math.Sqrt(squares / float64(a.Pairs-len(a.Settings)))
	}
	if a.Computed {
		a.Other = p.other(histories, r)
	}
	return a
}

// other lists the visits at which the setting is not the unit's fuel.
func (p *pairsOf) other(histories []*History, r *Config) []OtherFuelAt {
	type key struct {
		history, visit int
	}
	at := map[key]*OtherFuelAt{}
	for fuel, some := range p.byFuel {
		for _, one := range some {
			h := histories[one.history]
			c := pairCheck{&checker{h: h, r: r}}
			x := &h.Readings[one.reading]
			if x.FuelUncertain || !r.Fuels[x.Fuel].Declared() || c.alike(x.Fuel, fuel) || c.fits(x, x.Fuel, r.ComputedShare, false) ||
				!c.fits(x, fuel, r.ComputedShare, false) {
				continue
			}
			k := key{one.history, x.Visit}
			if at[k] == nil {
				at[k] = &OtherFuelAt{
					History: one.history, Serial: h.Unit.Serial, Day: x.Day, Registered: x.Fuel, SetTo: fuel,
					MeantPoints: math.NaN(),
				}
			}
			at[k].Set = at[k].Set || x.Condition == AsLeft && h.Visits[x.Visit].Adjusted(x.Fire) != No
			at[k].Newest = at[k].Newest || newestOfFire(h, one.reading)
			y := *x
			y.CO2Percent = math.NaN()
			at[k].MeantPoints = r.Deviation(&y)
		}
	}
	all := make([]OtherFuelAt, 0, len(at))
	for _, o := range at {
		all = append(all, *o)
	}
	slices.SortFunc(all, func(a, b OtherFuelAt) int {
		return cmp.Or(cmp.Compare(a.Day, b.Day), strings.Compare(a.Serial, b.Serial), cmp.Compare(a.History, b.History))
	})
	return all
}

// newestOfFire reports whether no later visit has a gas at a reading's fire.
func newestOfFire(h *History, reading int) bool {
	x := &h.Readings[reading]
	for i := reading + 1; i < len(h.Readings); i++ {
		y := &h.Readings[i]
		if y.Visit != x.Visit && y.Fire == x.Fire && y.Condition != Between && !(math.IsNaN(y.CO2Percent) && math.IsNaN(y.O2Percent)) {
			return false
		}
	}
	return true
}

// sortedFuels returns the fuels of a map in order.
func sortedFuels(m map[string][]pairAt) []string {
	names := make([]string, 0, len(m))
	for name := range m {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}
