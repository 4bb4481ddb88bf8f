package hindsight

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// madeUp are cases of two origins and so many sites, of units with two fires.
func madeUp(seed uint64, sites int) []*Origin {
	r := rand.New(rand.NewPCG(seed, 2))
	var all []*Origin
	for _, d := range []day.Day{20000, 20100} {
		o := &Origin{Day: d}
		for u := range 4 * sites {
			for _, fire := range []judge.Fire{judge.High, judge.Low} {
				c := Case{
					Origin: d, VisitDay: d + 90, Serial: fmt.Sprintf("S%03d", u), Site: fmt.Sprintf("site %d", u%sites), Fire: fire, Group: "now",
					Area: fmt.Sprintf("area %d", u%2), Routine: u%3 > 0,
				}
				p := r.Float64()
				for w := range c.Chance {
					c.Chance[w], c.Order[w] = p, p
				}
				c.Out = r.Float64() < p
				c.Points, c.LowPoints, c.HighPoints, c.SetNotRecorded = r.NormFloat64(), -1.645, 1.645, u%5 == 0
				c.LeavingFrom, c.LeavingTo = d+day.Day(r.IntN(300)), d+400
				o.Cases = append(o.Cases, c)
			}
		}
		all = append(all, o)
	}
	return all
}

// The result does not depend on how many workers share the resamples; every share,
// net benefit and group has an interval about its value.
func TestIntervalsOfShares(t *testing.T) {
	s := Config{HorizonDays: 365, CrewVisits: 10, Draws: 100, Seed: 1, StaleDays: 1, Workers: 1}
	one := Judge(madeUp(1, 25), s)
	s.Workers = 3
	many := Judge(madeUp(1, 25), s)
	many.Settings.Workers = 1
	require.Equal(t, fmt.Sprintf("%+v", one), fmt.Sprintf("%+v", many))
	about := func(f Figure) {
		t.Helper()
		require.Less(t, f.Low, f.High)
		require.True(t, f.Low <= f.Value && f.Value <= f.High, "%+v", f)
	}
	for _, c := range one.Coverage[:3] {
		about(c.Part)
		require.InDelta(t, float64(c.In)/float64(c.Of), c.Part.Value, 1e-12)
	}
	for _, b := range one.Benefit {
		about(b.Model)
		about(b.All)
		best := math.Max(0, math.Max(b.All.Value, b.Stale.Value))
		require.InDelta(t, b.Model.Value-best, b.Ahead.Value, 1e-12)
	}
	require.Len(t, one.Groups, 7) // one tier, two areas, no fuel, no control, two fires
	for _, g := range one.Groups {
		about(g.Share)
		about(g.AUC)
		require.True(t, g.Top10.Low <= g.Top10.Value && g.Top10.Value <= g.Top10.High)
	}
}

// Identity: the spread of a share over resampled sites of one case each is that of
// a drawn share, sqrt(p (1-p) / n); 90 % lie within 1.645 of it.
func TestIntervalIsThatOfADrawnShare(t *testing.T) {
	c := newCounted(1)
	const n = 400
	for i := range n {
		c.add(0, i, i%4 == 0)
	}
	f := c.intervals(n, Config{Draws: 4000, Seed: 3, Workers: 2})[0].Part
	half := 1.645 * math.Sqrt(0.25*0.75/n)
	require.InDelta(t, 0.25-half, f.Low, 0.1*half)
	require.InDelta(t, 0.25+half, f.High, 0.1*half)
}

// Whether probabilities are off, and the map, go by routine visits alone: units
// called for because they were off do not make a list's probabilities larger.
func TestRecalibrationGoesByRoutineVisits(t *testing.T) {
	s := Config{HorizonDays: 365, CrewVisits: 10, Draws: 100, Seed: 1, StaleDays: 1}
	spoil := func(routine bool) *Result {
		origins := madeUp(2, 60)
		for _, o := range origins {
			for i := range o.Cases {
				c := &o.Cases[i]
				c.VisitDay = c.Origin + 50 // known by the next origin
				if c.Routine == routine {
					c.Out = true
				}
			}
		}
		return Judge(origins, s)
	}
	calls := spoil(false)
	require.True(t, calls.Calibration.Off)
	require.False(t, calls.RoutineCalibration.Off)
	require.False(t, calls.Recalibrated.Offered)
	require.True(t, spoil(true).Recalibrated.Offered)
}
