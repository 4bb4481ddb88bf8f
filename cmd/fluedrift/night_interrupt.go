package main

import (
	"context"
	"fmt"
	"time"

	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/queries"
)

// stopGrace is how long a step may take to end by itself after a signal. The
// night is gone within two seconds.
const stopGrace = 1500 * time.Millisecond

// stopSoon ends the process where a step goes on after a signal: the database
// finishes some statements before it looks up. What the night was writing is
// removed; a publication that is being put in place is let finish. The function
// returned ends the watch.
func (n *night) stopSoon(ctx context.Context) (done func()) {
	if n.call.exit == nil {
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
func (n *night) stopNow(ctx context.Context) {
	n.swapping.Lock()
	if n.published {
		n.swapping.Unlock()
		return
	}
	defer n.call.exit(int(settings.Interrupted))
	n.disk.DropStage()
	queries.Remove(n.newPath())
	if err := n.end(ctx, nil, context.Canceled); err != nil && !n.call.logs(n.config) {
		fmt.Fprintf(n.call.err, "fluedrift: %v\n", errInterrupted)
	}
}
