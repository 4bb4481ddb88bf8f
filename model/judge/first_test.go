package judge

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/combustion"
)

// situationAxes lists the words of each axis, in the order of Situation's
// fields after Side.
func situationAxes() (fires []Fire, controls, cos, airs, analyzers, gas []string) {
	return []Fire{High, Low, Single, FireBoth},
		[]string{"ratio", "linkage", "oxygen trim", "fixed air", "natural draft", "multi-point", ""},
		[]string{COBelowAttention, COForAttention, COIsUrgent, CONotRecorded},
		[]string{AirWarmer, AirColder, AirAlike},
		[]string{AnalyzerInOrder, AnalyzerOverdue, AnalyzerDoubted, AnalyzerNotKnown},
		[]string{GasLower, GasHigher, GasAlike, GasNotRecorded}
}

// everySituation calls fn with each combination of the axes.
func everySituation(fn func(Situation)) (n int) {
	fires, controls, cos, airs, analyzers, gas := situationAxes()
	for _, side := range []Side{Unknown, Within, Rich, Lean} {
		for _, fire := range fires {
			for _, control := range controls {
				for _, co := range cos {
					for _, air := range airs {
						for _, analyzer := range analyzers {
							for _, g := range gas {
								fn(Situation{side, fire, control, co, air, analyzer, g})
								n++
							}
						}
					}
				}
			}
		}
	}
	return n
}

// Every cell of the table has one to three checks with words, marked as common
// practice and each given once; and every row is given to somebody.
func TestEveryCellHasAnAnswer(t *testing.T) {
	given := map[string]int{}
	n := everySituation(func(s Situation) {
		checks := CheckFirst(s)
		if len(checks) < 1 || len(checks) > MostChecks {
			t.Fatalf("%d checks for %+v", len(checks), s)
		}
		seen := map[string]bool{}
		for _, c := range checks {
			if len(c.Do) < 20 || len(c.Why) < 20 || c.Basis != CheckBasis || seen[c.Do+c.Why] {
				t.Fatalf("%+v for %+v", c, s)
			}
			seen[c.Do+c.Why] = true
			given[c.Do+c.Why]++
		}
	})
	require.Equal(t, 4*4*7*4*3*4*4, n)
	for _, row := range checkTable {
		require.Positive(t, given[row.do+row.why], "nobody is ever told: %s", row.do)
	}
	require.Len(t, given, len(checkTable), "two rows say the same")
}

// The words a row asks for are words of the axes: a mistyped one would never
// fit.
func TestRowsUseTheWordsOfTheAxes(t *testing.T) {
	fires, controls, cos, airs, analyzers, gas := situationAxes()
	for _, row := range checkTable {
		require.Subset(t, fires, row.fires, row.do)
		require.Subset(t, controls, row.controls, row.do)
		require.Subset(t, cos, row.cos, row.do)
		require.Subset(t, airs, row.airs, row.do)
		require.Subset(t, analyzers, row.analyzers, row.do)
		require.Subset(t, gas, row.gas, row.do)
	}
}

// What comes first: danger, then the analyzer, then gas pressure and season,
// then the burner by its control.
func TestWhatComesFirst(t *testing.T) {
	s := Situation{Side: Rich, Fire: High, Control: "fixed air", CO: COBelowAttention, Air: AirAlike, Analyzer: AnalyzerInOrder, GasPressure: GasAlike}
	first := func(change func(*Situation)) string {
		c := s
		change(&c)
		return CheckFirst(c)[0].Do
	}
	for words, change := range map[string]func(*Situation){
		"fan wheel, heat exchanger and vent for dirt": func(*Situation) {},
		"Have the unit taken out of service":          func(c *Situation) { c.CO, c.Analyzer, c.GasPressure = COIsUrgent, AnalyzerDoubted, GasHigher },
		"takes the air away":                          func(c *Situation) { c.CO = COForAttention },
		"burner head":                                 func(c *Situation) { c.CO, c.Side = COForAttention, Lean },
		"second analyzer":                             func(c *Situation) { c.Analyzer, c.GasPressure = AnalyzerDoubted, GasHigher },
		"Zero the analyzer":                           func(c *Situation) { c.Analyzer, c.Air = AnalyzerOverdue, AirWarmer },
		"Read CO":                                     func(c *Situation) { c.CO = CONotRecorded },
		"look at the regulator":                       func(c *Situation) { c.GasPressure, c.Air = GasHigher, AirWarmer },
		"Look at the air side first":                  func(c *Situation) { c.GasPressure = GasLower },
		"combustion-air temperature":                  func(c *Situation) { c.Air = AirWarmer },
		"zero offset":                                 func(c *Situation) { c.Control, c.Fire = "ratio", Low },
		"slack in the linkage":                        func(c *Situation) { c.Control, c.Fire, c.Side = "linkage", Low, Lean },
		"Find the appliance's own target":             func(c *Situation) { c.Side = Unknown },
		"Nothing stands out":                          func(c *Situation) { c.Side = Within },
	} {
		require.Contains(t, first(change), words)
	}
}

// The thirds and sixths of a point the table speaks of are those of methane
// set at 9 % and 20 degC.
func TestTheTablesPointsOfCO2(t *testing.T) {
	s, err := combustion.Methane.Burn(combustion.AirO2Physical)
	require.NoError(t, err)
	const thinner = (273.15 + 20) / (273.15 + 10) // air at 20 degC takes more room than at 10
	require.InDelta(t, 1.0/3, 9-s.CO2After(9, thinner), 0.03)
	require.InDelta(t, 1.0/6, 9-s.CO2After(9, math.Sqrt(thinner)), 0.03)
}
