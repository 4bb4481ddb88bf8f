package drift

import (
	"testing"

	"github.com/sourcegraph/conc/panics"
	"github.com/stretchr/testify/require"
)

// A panic in one worker comes out where the work was given out, and leaves no
// other worker waiting: in its own part, in its turn to add, and at its start.
func TestPanicsOfWorkersComeOut(t *testing.T) {
	slip := func(name string, work func()) {
		t.Helper()
		var c panics.Catcher
		c.Try(work)
		require.NotNil(t, c.Recovered(), name)
		require.Contains(t, c.Recovered().String(), "a slip", name)
	}
	broken := func(part, at int) {
		if part == at {
			panic("a slip")
		}
	}
	for _, workers := range []int{1, 4} {
		slip("part", func() {
			orderedReduce(50, workers, func() (func(int), func()) { return func(p int) { broken(p, 20) }, func() {} })
		})
		slip("add", func() {
			orderedReduce(50, workers, func() (func(int), func()) {
				at := 0
				return func(p int) { at = p }, func() { broken(at, 20) }
			})
		})
		slip("begin", func() {
			orderedReduce(50, workers, func() (func(int), func()) { panic("a slip") })
		})
		slip("shard", func() { eachShard(workers, func(s int) { broken(s, 3) }) })
		slip("block", func() {
			(&layout{blocks: make([]block, 8), size: worthSharing}).each(workers, func(b int) bool { broken(b, 3); return true })
		})
	}
}
