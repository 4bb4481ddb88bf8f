package judge

import (
	"math"
	"sort"

	"fluedrift/model/day"
)

// Figures by which a situation is told (common practice, no source).
const (
	airMovedK           = 5    // air this much warmer or colder counts
	gasMovedShare       = 0.10 // so does a gas pressure this far from its own middle
	gasReadingsBefore   = 2    // of which that many must be known
	calibrationGoodDays = 366
)

// SituationOf puts what the record says about a unit up to a day on the axes of
// the table of first checks. The grade of its CO comes from whoever
// graded it; AnalyzerDoubted is for whoever knows the whole fleet to set.
func SituationOf(r *Config, h *History, coGrade COGrade, asOf day.Day) Situation {
	s := Situation{
		Control: h.Unit.Control, CO: coGrade, Fire: FireBoth, Air: AirAlike, Analyzer: AnalyzerNotKnown,
		GasPressure: GasNotRecorded,
	}
	newest := newestByFire(r, h, asOf)
	var worst *Reading
	outside := 0
	for _, x := range newest {
		side := r.Setting(&x.Target, x.Fuel).Side(r.Deviation(x))
		if side == Rich || side == Lean {
			outside++
		}
		if worst == nil || before(side, s.Side) {
			worst, s.Side = x, side
		}
	}
	if worst == nil {
		return s
	}
	if outside == 1 || len(newest) == 1 {
		s.Fire = worst.Fire
	}
	if s.Fire == Point {
		s.Fire = FireBoth
	}
	s.Air = airAgainstSetting(h, worst)
	s.Analyzer = analyzerState(worst)
	s.GasPressure = gasAgainstHistory(h, worst)
	return s
}

// before reports whether a side matters more than another: rich, lean, within,
// unknown.
func before(a, b Side) bool {
	rank := [...]int{Rich: 3, Lean: 2, Within: 1, Unknown: 0}
	return rank[a] > rank[b]
}

// newestByFire returns the newest reading with a gas of each fire, in the order
// high, low, single, point.
func newestByFire(r *Config, h *History, asOf day.Day) []*Reading {
	by := map[Fire]*Reading{}
	for i := range h.Readings {
		x := &h.Readings[i]
		if x.Day <= asOf && x.Condition != Between && h.Visits[x.Visit].Reason != FactoryTest && !math.IsNaN(r.CO2(x)) && !r.NoBurner(x) {
			by[x.Fire] = x
		}
	}
	var newest []*Reading
	for _, fire := range Fires() {
		if by[fire] != nil {
			newest = append(newest, by[fire])
		}
	}
	return newest
}

// airAgainstSetting compares the combustion air of a reading with that of the last as-left
// reading of its fire before it.
func airAgainstSetting(h *History, x *Reading) AirChange {
	set := math.NaN()
	for i := range h.Readings {
		y := &h.Readings[i]
		if y.Fire == x.Fire && y.Day < x.Day && y.Condition == AsLeft && h.Visits[y.Visit].Reason != FactoryTest &&
			y.AirTempAt == x.AirTempAt {
			set = y.AirTempC
		}
	}
	switch moved := x.AirTempC - set; {
	case moved >= airMovedK:
		return AirWarmer
	case moved <= -airMovedK:
		return AirColder
	}
	return AirAlike
}

// analyzerState says whether the analyzer of a reading was calibrated within a
// year of it.
func analyzerState(x *Reading) AnalyzerState {
	switch {
	case x.Analyzer == "" || x.Calibrated == day.None:
		return AnalyzerNotKnown
	case x.Day-x.Calibrated > calibrationGoodDays:
		return AnalyzerOverdue
	}
	return AnalyzerInOrder
}

// gasAgainstHistory compares the gas pressure of a reading with the middle of
// those before it at its fire: the manifold's where it is recorded, else the
// supply's.
func gasAgainstHistory(h *History, x *Reading) GasChange {
	for _, of := range []func(*Reading) float64{
		func(y *Reading) float64 { return y.ManifoldPa }, func(y *Reading) float64 { return y.SupplyPa },
	} {
		var earlier []float64
		for i := range h.Readings {
			y := &h.Readings[i]
			if y.Fire == x.Fire && y.Day < x.Day && y.Fuel == x.Fuel && of(y) > 0 {
				earlier = append(earlier, of(y))
			}
		}
		if len(earlier) < gasReadingsBefore || !(of(x) > 0) {
			continue
		}
		sort.Float64s(earlier)
		switch share := of(x)/median(earlier) - 1; {
		case share > gasMovedShare:
			return GasHigher
		case share < -gasMovedShare:
			return GasLower
		}
		return GasAlike
	}
	return GasNotRecorded
}
