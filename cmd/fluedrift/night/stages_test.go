package night

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A stage that is taken up again adds to its time; what lies between stages counts to
// none; stages stand in the order in which they first began.
func TestStagesAddUp(t *testing.T) {
	clock := time.Unix(0, 0)
	wait := func(s int) { clock = clock.Add(time.Duration(s) * time.Second) }
	s := newStages(func() time.Time { return clock })
	s.end() // nothing runs
	for _, x := range []struct {
		name string
		took int
	}{{"reading", 5}, {"forecasting", 2}, {"checking", 1}, {"forecasting", 3}} {
		s.begin(x.name)
		wait(x.took)
	}
	s.end()
	wait(100)
	s.end()
	s.begin("writing")
	wait(7)
	s.end()
	took := map[string]float64{}
	var order []string
	for _, x := range s.all {
		took[x.Name] = x.Seconds
		order = append(order, x.Name)
		require.GreaterOrEqual(t, x.CPUSeconds, 0.0)
	}
	require.Equal(t, []string{"reading", "forecasting", "checking", "writing"}, order)
	require.Equal(t, map[string]float64{"reading": 5, "forecasting": 5, "checking": 1, "writing": 7}, took)
}
