package night

import (
	"context"
	"errors"
	"math"
	"runtime/debug"
	"sync/atomic"
	"time"

	"github.com/sourcegraph/conc"

	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
)

// The memory of a night is the engine's and the program's own. Of guards.max_memory_mb the
// engine gets a quarter, within what it needs to work and what it needs at most, and
// writes to the disk what does not fit. The program's own part collects what is no longer used
// the more often, the nearer it comes to what is left; that slows a night and changes
// nothing in its lists. What is in use cannot be collected: a night that needs more
// than its bound ends.
const (
	engineShare   = 4
	leastEngineMB = 64
	mostEngineMB  = 768
	codeMB        = 32 // of the program's text and tables, which no part counts
	overLooks     = 4  // looks in turn that find too much before the night ends
	lookEvery     = 50 * time.Millisecond
	mib           = 1 << 20
)

// engineMB is what of a bound is the engine's; 0: its own.
func engineMB(bound int) int {
	if bound == 0 {
		return 0
	}
	return min(max(bound/engineShare, leastEngineMB), mostEngineMB)
}

// errMemory is why the context of a night with too little memory ends.
var errMemory = errors.New("more memory is needed than guards.max_memory_mb")

// bounded keeps the process within a bound, MiB, until ended is called; 0: there is none.
// The context ends where the process has more for a while. ended turns the error of a
// night that ended so into one that says it, and how far the night came.
func bounded(ctx context.Context, bound int, reached func() string) (within context.Context, ended func(error) error) {
	if bound == 0 {
		return ctx, func(err error) error { return err }
	}
	before := debug.SetMemoryLimit(-1) // of the environment, where GOMEMLIMIT is set
	debug.SetMemoryLimit(min(int64(max(bound-engineMB(bound)-codeMB, 1))*mib, before))
	within, stop := context.WithCancelCause(ctx)
	had := &atomic.Int64{}
	var watch conc.WaitGroup
	watch.Go(func() { watchMemory(within, float64(bound), had, stop) })
	return within, func(err error) error {
		cause := context.Cause(within)
		stop(nil)
		watch.Wait()
		debug.SetMemoryLimit(before)
		if err == nil || !errors.Is(cause, errMemory) {
			return err
		}
		return settings.Fail(settings.Failed, "memory is not enough: %d MiB in use %s, guards.max_memory_mb is %d\n"+
			"nothing was published and the last list stays\nraise the key where the machine has more, or leave it out",
			had.Load(), reached(), bound)
	}
}

// watchMemory ends a context where the process has more than a bound for a while. It ends
// with the context.
func watchMemory(ctx context.Context, bound float64, had *atomic.Int64, stop context.CancelCauseFunc) {
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	over := 0
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		if used := publish.Resident() / mib; used > bound {
			had.Store(max(had.Load(), int64(math.Round(used))))
			if over++; over == 1 {
				debug.FreeOSMemory() // what is collected may still be held
			}
		} else {
			over = 0
		}
		if over == overLooks {
			stop(errMemory)
			return
		}
	}
}
