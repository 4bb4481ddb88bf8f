package watch

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/judge"
)

// The sheet of a unit whose CO is urgent begins with taking it out of service,
// and nothing on it asks for a reading before: not the rule of other sheets, not
// what to look at first.
func TestSheetOfUrgentCO(t *testing.T) {
	urgent := again(withCO(high(judge.AsFound, 9.4), 600, judge.AsMeasured, ""), low(judge.AsFound, 8.6))
	isolated := again(withCO(high(judge.AsFound, 9.4), 600, judge.AsMeasured, ""))
	isolated.Unit.State = "isolated"
	idle := again(withGas(high(judge.AsFound, 0), 0, 20.9, 600))
	for name, h := range map[string]*judge.History{
		"both fires": urgent, "isolated": isolated, "not in register": unregistered(urgent),
		"no burner at work": idle,
	} {
		l := Assess(h, testRules(), nil)
		sheet := SheetOf(h, &l, testRules(), nil)
		s := Say.Sheet(&sheet)
		require.True(t, s.Danger, name)
		require.Equal(t, "First take the unit out of service as its instructions say. Read and adjust nothing before that.", s.Rule, name)
		for i, check := range s.Check {
			if i == 0 {
				require.Contains(t, check, "taken out of service", name)
			}
			require.NotContains(t, strings.ToLower(check), "before touching", name)
			require.NotContains(t, check, "usual order", name)
		}
	}
}

// Other sheets ask for the fires the unit has, as found.
func TestSheetAsksForAsFound(t *testing.T) {
	single := again(func() judge.Reading { r := high(judge.AsLeft, 9.0); r.Fire = judge.Single; return r }())
	point := again(func() judge.Reading { r := high(judge.AsLeft, 9.0); r.Fire, r.RatePercent = judge.Point, 60; return r }())
	attention := again(withCO(high(judge.AsFound, 9.4), 120, judge.AsMeasured, ""), low(judge.AsFound, 8.6))
	never := unit()
	never.Visits, never.Readings = nil, nil
	for _, c := range []struct {
		h    *judge.History
		want string
	}{{unit(), "high and low fire"}, {attention, "high and low fire"}, {never, "high and low fire"}, {single, "the single fire"}, {
		point,
		"every point",
	}} {
		l := Assess(c.h, testRules(), nil)
		sheet := SheetOf(c.h, &l, testRules(), nil)
		s := Say.Sheet(&sheet)
		require.False(t, s.Danger)
		require.Equal(t, "Record "+c.want+" as found before adjusting anything.", s.Rule)
	}
	require.True(t, math.IsNaN(single.Readings[0].RatePercent))
}
