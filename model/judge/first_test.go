package judge

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// situationAxes lists the values of each axis, in the order of Situation's
// fields after Side.
func situationAxes() (fires []Fire, controls []Control, cos []COGrade, airs []AirChange, analyzers []AnalyzerState, gas []GasChange) {
	return []Fire{High, Low, Single, FireBoth},
		[]Control{
			ControlRatio, ControlLinkage, ControlOxygenTrim, ControlFixedAir, ControlNaturalDraft, ControlMultiPoint, ControlUnknown,
		},
		[]COGrade{COBelowAttention, COForAttention, COIsUrgent, CONotRecorded},
		[]AirChange{AirWarmer, AirColder, AirAlike},
		[]AnalyzerState{AnalyzerInOrder, AnalyzerOverdue, AnalyzerDoubted, AnalyzerNotKnown},
		[]GasChange{GasLower, GasHigher, GasAlike, GasNotRecorded}
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

// Every cell of the table has one to three checks, each given once; and every check
// is given to somebody.
func TestEveryCellHasAnAnswer(t *testing.T) {
	given := map[Check]int{}
	n := everySituation(func(s Situation) {
		checks := CheckFirst(s)
		if len(checks) < 1 || len(checks) > MostChecks {
			t.Fatalf("%d checks for %+v", len(checks), s)
		}
		seen := map[Check]bool{}
		for _, c := range checks {
			if seen[c] {
				t.Fatalf("%d twice for %+v", c, s)
			}
			seen[c] = true
			given[c]++
		}
	})
	require.Equal(t, 4*4*7*4*3*4*4, n)
	for i, row := range checkTable {
		require.Equal(t, TakeOutOfService+Check(i), row.check, "the table has each check once, in their order")
		require.Positive(t, given[row.check], "nobody is ever told check %d", row.check)
	}
	require.Equal(t, ReadAgain, checkTable[len(checkTable)-1].check)
}

// The values a row asks for are values of the axes: another would never fit.
func TestRowsUseTheValuesOfTheAxes(t *testing.T) {
	fires, controls, cos, airs, analyzers, gas := situationAxes()
	for _, row := range checkTable {
		require.Subset(t, fires, row.fires, row.check)
		require.Subset(t, controls, row.controls, row.check)
		require.Subset(t, cos, row.cos, row.check)
		require.Subset(t, airs, row.airs, row.check)
		require.Subset(t, analyzers, row.analyzers, row.check)
		require.Subset(t, gas, row.gas, row.check)
	}
}

// What comes first: danger, then the analyzer, then gas pressure and season,
// then the burner by its control.
func TestWhatComesFirst(t *testing.T) {
	s := Situation{
		Side: Rich, Fire: High, Control: ControlFixedAir, CO: COBelowAttention, Air: AirAlike, Analyzer: AnalyzerInOrder,
		GasPressure: GasAlike,
	}
	first := func(change func(*Situation)) Check {
		c := s
		change(&c)
		return CheckFirst(c)[0]
	}
	for check, change := range map[Check]func(*Situation){
		FixedFanAirPath:    func(*Situation) {},
		TakeOutOfService:   func(c *Situation) { c.CO, c.Analyzer, c.GasPressure = COIsUrgent, AnalyzerDoubted, GasHigher },
		WhatTakesAir:       func(c *Situation) { c.CO = COForAttention },
		BurnerHead:         func(c *Situation) { c.CO, c.Side = COForAttention, Lean },
		SecondAnalyzer:     func(c *Situation) { c.Analyzer, c.GasPressure = AnalyzerDoubted, GasHigher },
		ZeroAnalyzer:       func(c *Situation) { c.Analyzer, c.Air = AnalyzerOverdue, AirWarmer },
		ReadCO:             func(c *Situation) { c.CO = CONotRecorded },
		GasPressureUp:      func(c *Situation) { c.GasPressure, c.Air = GasHigher, AirWarmer },
		AirSideFirst:       func(c *Situation) { c.GasPressure = GasLower },
		WarmerAirAtSetting: func(c *Situation) { c.Air = AirWarmer },
		ValveZeroOffset:    func(c *Situation) { c.Control, c.Fire = ControlRatio, Low },
		LinkageSlack:       func(c *Situation) { c.Control, c.Fire, c.Side = ControlLinkage, Low, Lean },
		FindTarget:         func(c *Situation) { c.Side = Unknown },
		NothingStandsOut:   func(c *Situation) { c.Side = Within },
	} {
		require.Equal(t, check, first(change))
	}
}
