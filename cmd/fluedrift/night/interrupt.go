package night

import (
	"context"
	"time"
)

// stopGrace is how long a step may take to end by itself after a signal. The
// night is gone within two seconds.
const stopGrace = 1500 * time.Millisecond

// afterSignal does something when a signal has ended the context and a grace has
// passed, unless the function returned was called before. The watch is a goroutine that
// nobody waits for: what is done must catch its own panics.
func afterSignal(ctx context.Context, do func()) (done func()) {
	over := make(chan struct{})
	go func() {
		select {
		case <-over:
			return
		case <-ctx.Done():
		}
		select {
		case <-over:
		case <-time.After(stopGrace):
			do()
		}
	}()
	return func() { close(over) }
}
