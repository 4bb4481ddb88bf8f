package hindsight

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// decidedOn is a made-up look back of units of which the first so many were read by a
// freshly calibrated analyzer; model and rule put them in order with some noise each,
// on fresh and on other visits.
func decidedOn(units, fresh int, model, modelFresh, rule float64) *Result {
	g := rand.New(rand.NewPCG(1, 2))
	o := &Origin{Day: 20000}
	for i := range units {
		c := Case{Origin: 20000, VisitDay: 20100, Serial: fmt.Sprint(i), Site: fmt.Sprint(i % 40), Fire: "high", Out: i%4 == 0, Fresh: i < fresh}
		truth := 0.0
		if c.Out {
			truth = 1
		}
		noise := model
		if c.Fresh {
			noise = modelFresh
		}
		for w := range c.Order {
			c.Order[w], c.Chance[w] = g.NormFloat64(), math.NaN()
		}
		c.Order[Model] = truth + noise*g.NormFloat64()
		c.Order[StraightLine] = truth + rule*g.NormFloat64()
		c.Chance[Model] = 0.25
		o.Cases = append(o.Cases, c)
	}
	return Judge([]*Origin{o}, Config{AsOf: 20514, HorizonDays: 365, CrewVisits: 10, Draws: 60, Seed: 1, StaleDays: 365})
}

// Visits read by a freshly calibrated analyzer decide where there are 200 of them: the
// others carry what the next instrument has lost, which no forecast of the unit can
// know. With fewer, all do. The verdict goes by the interval of the difference to the
// best simple rule.
func TestFreshVisitsDecide(t *testing.T) {
	d := decidedOn(600, 300, 3, 0.4, 1).Decision
	require.Equal(t, Decision{Verdict: Ahead, Best: StraightLine, Less: d.Less, Fresh: true, Units: 300}, d)
	r := decidedOn(600, 199, 3, 0.4, 1)
	require.False(t, r.Decision.Fresh)
	require.Equal(t, 600, r.Decision.Units)
	require.NotEmpty(t, r.Fresh, "both are told")
	d = decidedOn(600, 0, 3, 3, 0.5).Decision
	require.Equal(t, Behind, d.Verdict)
	require.Negative(t, d.Less.High)
	d = decidedOn(600, 0, 1, 1, 1).Decision
	require.Equal(t, Open, d.Verdict)
	require.Equal(t, NoOrder, Judge(nil, Config{}).Decision.Verdict)
}
