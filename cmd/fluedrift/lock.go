package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/gofrs/flock"
)

// takeLock keeps a second night (or build) away from the same warehouse. It is
// a lock of the kernel: it ends with the process, whatever becomes of the file.
func takeLock(c *config, now time.Time) (release func(), err error) {
	path := c.path(c.Output.Warehouse) + ".lock"
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return nil, fmt.Errorf("cannot write in %s: %w", filepath.Dir(path), err)
	}
	l := flock.New(path)
	got, err := l.TryLock()
	if err != nil {
		return nil, fmt.Errorf("cannot lock %s: %w", path, err)
	}
	if !got {
		holder, _ := os.ReadFile(path)
		return nil, fail(exitLocked, "another night is at work on %s (%s)\nwait for it to end, or stop it",
			c.path(c.Output.Warehouse), strings.TrimSpace(string(holder)))
	}
	note := fmt.Sprintf("process %d since %s\n", os.Getpid(), now.UTC().Format(time.RFC3339))
	if err := os.WriteFile(path, []byte(note), 0o644); err != nil {
		l.Unlock()
		return nil, fmt.Errorf("cannot write %s: %w", path, err)
	}
	return func() { l.Unlock() }, nil
}
