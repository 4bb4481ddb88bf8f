package words

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/analysis/hindsight"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/watch"
	"fluedrift/model/combustion"
	"fluedrift/model/judge"
)

// Every check says what to do and why, in whole sentences, and no two the same.
func TestEveryCheckInWords(t *testing.T) {
	seen := map[string]bool{}
	for c := judge.TakeOutOfService; c <= judge.ReadAgain; c++ {
		said := checkWords[c]
		for _, sentence := range []string{said.do, said.why} {
			require.Greater(t, len(sentence), 20, c)
			require.True(t, strings.HasSuffix(sentence, "."), sentence)
		}
		require.False(t, seen[said.do+said.why], said.do)
		seen[said.do+said.why] = true
	}
	require.Len(t, checkWords, len(seen))
}

func TestChecksOfALine(t *testing.T) {
	l := &watch.Line{CheckFirst: []judge.Check{judge.ReadCO, judge.NothingStandsOut}}
	assert.Equal(t, "Read CO at this fire before adjusting anything. Nothing stands out: take the readings in the usual order, as "+
		"found before adjusting anything.", Checks(l))
	assert.Equal(t, "Read CO at this fire before adjusting anything. Without CO nobody can tell whether it has enough air.",
		LookWhy(units.SI, l)[0])
	assert.Empty(t, Checks(&watch.Line{}))
}

// The thirds and sixths of a point the checks speak of are those of methane set at
// 9 % and 20 degC.
func TestPointsOfCO2InChecks(t *testing.T) {
	s, err := combustion.Methane.Burn(combustion.AirO2Physical)
	require.NoError(t, err)
	const thinner = (273.15 + 20) / (273.15 + 10) // air at 20 degC takes more room than at 10
	for points, thinner := range map[float64]float64{1.0 / 3: thinner, 1.0 / 6: math.Sqrt(thinner)} {
		require.InDelta(t, points, 9-s.CO2After(9, thinner), 0.03)
	}
	for check, share := range map[judge.Check]string{
		judge.WarmerAirAtSetting: "a third", judge.ColderAirAtSetting: "a third",
		judge.WarmerAirUnderRatio: "a sixth", judge.ColderAirUnderRatio: "a sixth",
	} {
		require.Contains(t, checkWords[check].why, "about "+share+" of a point of CO2")
	}
}

// Each way of computing a cost is told.
func TestCostMethodsInWords(t *testing.T) {
	for m := judge.IndirectBalance; m <= judge.WithOrdinance; m++ {
		require.NotEmpty(t, costMethod(units.SI, m))
	}
	require.NotContains(t, costMethod(units.SI, judge.IndirectBalance), "BImSchV")
	require.Contains(t, costMethod(units.SI, judge.WithOrdinance), "BImSchV")
}

// What a look back counts and parts units by has a name each.
func TestHindsightKindsInWords(t *testing.T) {
	for c := hindsight.FoundWithin; c <= hindsight.InAfter; c++ {
		require.NotEmpty(t, Covered(c))
	}
	for k := hindsight.ByGroup; k <= hindsight.ByFire; k++ {
		require.NotEmpty(t, GroupKind(k))
	}
}
