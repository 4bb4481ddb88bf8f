package drift

import (
	"sync"
	"sync/atomic"
)

// inTurn shares parts out to workers and adds what each part gives in the order
// of the parts, so that a sum is the same to the last bit for any number of
// workers. begin is called once a worker and makes its own space: work fills it
// for a part, any number of workers at once; add takes it over, one at a time.
func inTurn(parts, workers int, begin func() (work func(part int), add func())) {
	var next atomic.Int32
	var wg sync.WaitGroup
	var mu sync.Mutex
	turn, ready := 0, sync.NewCond(&mu)
	for range min(max(workers, 1), parts) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			work, add := begin()
			for {
				part := int(next.Add(1)) - 1
				if part >= parts {
					return
				}
				work(part)
				mu.Lock()
				for turn != part {
					ready.Wait()
				}
				add()
				turn++
				ready.Broadcast()
				mu.Unlock()
			}
		}()
	}
	wg.Wait()
}
