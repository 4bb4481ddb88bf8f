package watch_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/datasets/demo"
	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// Every visit planted with the analyzer set to the other fuel stands with its
// unit under that analyzer and in the period of its day.
func TestAnalyzersNameUnitsSetOnAnotherFuel(t *testing.T) {
	f := plantedFleet(1)
	_, byName := assessed(t, f)
	fuels, err := combustion.Fuels(nil, combustion.AirO2Field)
	require.NoError(t, err)
	r := watch.DefaultConfig(f.AsOf(), judge.DefaultConfig(fuels))
	var histories []*judge.History
	years, meters := map[string]map[int]bool{}, 0
	for _, h := range byName {
		histories = append(histories, h)
	}
	var biases []watch.AnalyzerBias
	for _, h := range histories {
		for i := range h.Readings {
			x := &h.Readings[i]
			year := 1970 + int(float64(x.Day)/365.2425)
			if x.Analyzer == "" || years[x.Analyzer][year] {
				continue
			}
			if years[x.Analyzer] == nil {
				years[x.Analyzer] = map[int]bool{}
				meters++
			}
			years[x.Analyzer][year] = true
			biases = append(biases, watch.AnalyzerBias{Fire: judge.High, Name: x.Analyzer, Calibrated: day.None, Year: year})
		}
	}
	var said strings.Builder
	for _, l := range watch.Analyzers(biases, nil, histories, r) {
		said.WriteString(words.OtherFuel(&l) + "; ")
	}
	require.Greater(t, meters, 5)
	all, found := 0, 0
	for _, s := range f.Settings {
		h := byName[s.Serial]
		if h == nil || f.WrongLabel(s.Unit) || !named(h, s) {
			continue
		}
		all++
		if strings.Contains(said.String(), s.Serial+" on "+words.Day(s.Day)+": set to "+s.Fuel) {
			found++
		}
	}
	t.Logf("%d of %d planted settings named", found, all)
	require.Greater(t, all, 10)
	require.GreaterOrEqual(t, float64(found), 0.9*float64(all))
}

// named reports whether a visit has a pair read with a known analyzer on a fuel
// that is known.
func named(h *judge.History, s demo.WrongSetting) bool {
	for i := range h.Readings {
		x := &h.Readings[i]
		if x.Day == s.Day && x.Analyzer != "" && x.CO2Percent > 0 && x.O2Percent > 0 && !x.FuelUncertain {
			return true
		}
	}
	return false
}
