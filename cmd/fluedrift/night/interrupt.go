package night

import (
	"context"
	"time"

	"fluedrift/queries"
)

// stopGrace is how long a step may take to end by itself after a signal. The
// night is gone within two seconds.
const stopGrace = 1500 * time.Millisecond

// stopSoon ends the process where a step goes on after a signal: the database
// finishes some statements before it looks up. What the night was writing is
// removed; a publication that is being put in place is let finish. The function
// returned ends the watch.
func (n *Night) stopSoon(ctx context.Context) (done func()) {
	if n.Exit == nil {
		return func() {}
	}
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
			n.stopNow(ctx)
		}
	}()
	return func() { close(over) }
}

// stopNow removes what was being written and ends the process, even where that
// breaks.
func (n *Night) stopNow(ctx context.Context) {
	n.swapping.Lock()
	if n.published {
		n.swapping.Unlock()
		return
	}
	err := context.Canceled
	defer func() { n.Exit(ctx, err) }()
	n.disk.DropStage()
	queries.Remove(n.newPath())
	err = n.end(ctx, nil, context.Canceled)
}
