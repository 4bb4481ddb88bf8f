package measured

import (
	"os"
	"runtime"
	"runtime/debug"
)

// Light has a package's normal suite run on one core and collect its garbage
// seldom. Its fleets are small: a second core and the collector take a fifth of the
// processor time and shorten nothing, as go test runs packages side by side. The
// long suite runs as the program does.
func Light() {
	if os.Getenv("FLUEDRIFT_LONG") == "" {
		runtime.GOMAXPROCS(1)
		debug.SetGCPercent(400)
	}
}
