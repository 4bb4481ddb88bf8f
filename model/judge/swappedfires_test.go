package judge_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
	. "fluedrift/model/judge"
)

// Fires that lie 0.6 points and 4 K apart: one reading exchanged is not sure
// enough (0.6^2/0.25^2 + 4^2/3^2 = 7.5 of 9), what was found and what was left
// after a setting are together, where both say so.
func TestFiresExchangedOverAVisit(t *testing.T) {
	near := func(condition Condition, high bool, co2 float64) Reading {
		flue := 56.0
		if co2 > 8.7 {
			flue = 60
		}
		if high {
			return full(condition, co2, nan, 12, flue, 10)
		}
		return change(func(x *Reading) { x.Fire, x.Target = Low, setTo(8.4) }).with(full(condition, co2, nan, 12, flue, 10))
	}
	var before []visit
	for k, d := range []float64{0, 0.1, -0.1, 0.1, 0} {
		before = append(before, on(day.Day(100+365*k), No, near(AsFound, true, 9.0+d), near(AsFound, false, 8.4-d)))
	}
	pair := func(condition Condition, exchanged bool) []Reading {
		if exchanged {
			return []Reading{near(condition, true, 8.4), near(condition, false, 9.0)}
		}
		return []Reading{near(condition, true, 9.0), near(condition, false, 8.4)}
	}
	for name, c := range map[string]struct {
		adjusted    string
		found, left bool // exchanged
		want        int
	}{
		"found and left, set in between": {Yes, true, true, 4},
		"nobody set anything":            {No, true, true, 0},
		"only as found":                  {Yes, true, false, 0},
		"only as left":                   {Yes, false, true, 0},
		"in order":                       {Yes, false, false, 0},
	} {
		last := on(3000, c.adjusted, append(pair(AsFound, c.found), pair(AsLeft, c.left)...)...)
		j := Judge(history(append(before[:len(before):len(before)], last)...), rules(t))
		found := 0
		for _, f := range j.Findings {
			if f.Kind == SwappedFires {
				found++
				require.Equal(t, LeftOut, j.Uses[f.Readings[0]], name)
			}
		}
		require.Equal(t, c.want, found, name)
	}
}
