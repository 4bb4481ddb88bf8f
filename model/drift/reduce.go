package drift

import (
	"sync"
	"sync/atomic"

	"github.com/sourcegraph/conc"
)

// orderedReduce shares parts out to workers and adds what each part gives in the order
// of the parts, so that a sum is the same to the last bit for any number of
// workers. begin is called once a worker and makes its own space: work fills it
// for a part, any number of workers at once; add takes it over, one at a time.
// A panic in a worker ends the others and comes out of orderedReduce.
func orderedReduce(parts, workers int, begin func() (work func(part int), add func())) {
	var next atomic.Int32
	var all conc.WaitGroup
	t := reduction{}
	t.ready.L = &t.mu
	for range min(max(workers, 1), parts) {
		all.Go(func() {
			ended := false
			defer func() {
				if !ended {
					t.abandon()
				}
			}()
			work, add := begin()
			for part := int(next.Add(1)) - 1; part < parts; part = int(next.Add(1)) - 1 {
				work(part)
				if !t.take(part, add) {
					break
				}
			}
			ended = true
		})
	}
	all.Wait()
}

// reduction lets the workers add one after another, in the order of the parts.
type reduction struct {
	mu        sync.Mutex
	ready     sync.Cond
	turn      int
	abandoned bool // a worker is gone with its part: nobody waits for it
}

// take waits for the turn of a part and does add; false where it never comes.
func (t *reduction) take(part int, add func()) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	for t.turn != part && !t.abandoned {
		t.ready.Wait()
	}
	if t.abandoned {
		return false
	}
	add()
	t.turn++
	t.ready.Broadcast()
	return true
}

func (t *reduction) abandon() {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.abandoned = true
	t.ready.Broadcast()
}
