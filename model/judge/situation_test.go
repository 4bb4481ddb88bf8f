package judge_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
	. "fluedrift/model/judge"
)

// pressed returns a reading with air temperature, manifold pressure and analyzer.
func pressed(x Reading, airC, manifoldPa float64, calibrated day.Day) Reading {
	x.AirTempC, x.ManifoldPa, x.Analyzer, x.Calibrated = airC, manifoldPa, "A1", calibrated
	return x
}

func TestSituationOf(t *testing.T) {
	r := rules(t)
	set := pressed(value(AsLeft, 9.0), 5, 1000, 0)
	h := history(
		on(10, Yes, set, low(pressed(value(AsLeft, 9.0), 5, 200, 0))),
		on(375, Yes, pressed(value(AsFound, 9.1), 6, 1010, 300), pressed(value(AsLeft, 9.0), 5, 1000, 300),
			low(pressed(value(AsLeft, 9.0), 5, 205, 300))),
		on(740, "", pressed(value(AsFound, 9.4), 12, 1150, 300), low(pressed(value(AsFound, 8.9), 12, 210, 300))),
	)
	h.Unit.Control = "linkage"
	require.Equal(t, Situation{
		Side: Rich, Fire: High, Control: "linkage", CO: CONotRecorded, Air: AirWarmer, Analyzer: AnalyzerOverdue,
		GasPressure: GasHigher,
	},
		SituationOf(&r, h, CONotRecorded, 800))

	// Up to the visit before: inside at both fires, nothing moved.
	require.Equal(t, Situation{
		Side: Within, Fire: FireBoth, Control: "linkage", CO: COBelowAttention, Air: AirAlike,
		Analyzer: AnalyzerInOrder, GasPressure: GasNotRecorded,
	},
		SituationOf(&r, h, COBelowAttention, 400))

	// Both out: the rich one speaks, the fire is both.
	h.Readings[len(h.Readings)-1].CO2Percent = 8.6
	s := SituationOf(&r, h, COBelowAttention, 800)
	require.Equal(t, Rich, s.Side)
	require.Equal(t, FireBoth, s.Fire)

	// Only low out, its gas lower, its air colder.
	last := &h.Readings[len(h.Readings)-1]
	last.ManifoldPa, last.AirTempC = 150, -10
	h.Readings[len(h.Readings)-2].CO2Percent = 9.0
	s = SituationOf(&r, h, COBelowAttention, 800)
	require.Equal(t, Situation{
		Side: Lean, Fire: Low, Control: "linkage", CO: COBelowAttention, Air: AirColder, Analyzer: AnalyzerOverdue,
		GasPressure: GasLower,
	}, s)
	require.Equal(t, GasPressureDown, CheckFirst(s)[1])

	none := SituationOf(&r, history(), CONotRecorded, 800)
	require.Equal(t, Unknown, none.Side)
	require.NotEmpty(t, CheckFirst(none))
}

// Supply pressure speaks where the manifold's is not recorded; a point has no
// fire of its own in the table; a factory test is no state of a unit.
func TestSituationFallsBack(t *testing.T) {
	r := rules(t)
	supply := func(pa float64) Reading {
		x := value(AsFound, 9.0)
		x.Fire, x.RatePercent, x.SupplyPa = Point, 40, pa
		return x
	}
	h := history(on(10, No, supply(2000)), on(400, No, supply(2000)), on(800, No, supply(2100)))
	s := SituationOf(&r, h, COBelowAttention, 900)
	require.Equal(t, GasAlike, s.GasPressure)
	require.Equal(t, FireBoth, s.Fire)
	require.Equal(t, AnalyzerNotKnown, s.Analyzer)
	h.Visits[2].Reason = FactoryTest
	require.Equal(t, GasNotRecorded, SituationOf(&r, h, COBelowAttention, 900).GasPressure)
}
