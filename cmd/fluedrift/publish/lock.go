package publish

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"fluedrift/cmd/fluedrift/settings"

	"github.com/gofrs/flock"
)

// TakeLocks keeps a second night (or build) away from the same warehouse, and
// another configuration's night from the same lists. They are locks of the
// kernel: they end with the process, whatever becomes of the files. Commands
// that only read take none.
func TakeLocks(c *settings.Config, now time.Time) (release func(), err error) {
	warehouse, lists := c.Path(c.Output.Warehouse), c.Path(c.Output.Lists)
	for _, folder := range []string{filepath.Dir(warehouse), lists} {
		if err := makeFolder(folder, folderMode(c.Output.GroupReadable)); err != nil {
			return nil, err
		}
	}
	first, err := takeLock(warehouse+".lock", warehouse, now)
	if err != nil {
		return nil, err
	}
	second, err := takeLock(filepath.Join(lists, ".lock"), lists, now)
	if err != nil {
		first()
		return nil, err
	}
	return func() {
		second()
		first()
	}, nil
}

// LockPlan keeps two plans from being written at once.
func LockPlan(c *settings.Config, now time.Time) (release func(), err error) {
	days := filepath.Join(c.Path(c.Output.Lists), "days")
	if err := Allowed("the folder of the plan", days, Inputs(c)); err != nil {
		return nil, err
	}
	for _, folder := range []string{filepath.Dir(days), days} {
		if err := makeFolder(folder, folderMode(c.Output.GroupReadable)); err != nil {
			return nil, err
		}
	}
	return takeLock(filepath.Join(days, ".lock"), days, now)
}

// lockNote is how the note in a lock begins.
const lockNote = "process "

// takeLock takes one lock and notes in it who holds it.
func takeLock(path, what string, now time.Time) (release func(), err error) {
	if info, err := os.Lstat(path); err == nil && !info.Mode().IsRegular() {
		return nil, fmt.Errorf("cannot lock %s: %s is no plain file\nmove it away", what, path)
	}
	l := flock.New(path, flock.SetFlag(os.O_CREATE|os.O_RDWR), flock.SetPermissions(0o600))
	got, err := l.TryLock()
	if err != nil {
		return nil, fmt.Errorf("cannot write in %s: %w", filepath.Dir(path), err)
	}
	if !got {
		holder, err := os.ReadFile(path)
		if err != nil || len(holder) == 0 {
			holder = []byte("its name could not be read")
		}
		return nil, settings.Fail(settings.Locked, "another night is at work on %s (%s)\nwait for it to end, or stop it", what,
			strings.TrimSpace(string(holder)))
	}
	note := fmt.Sprintf(lockNote+"%d since %s\n", os.Getpid(), now.UTC().Format(time.RFC3339))
	if err := noteHolder(path, note); err != nil {
		l.Unlock()
		return nil, fmt.Errorf("cannot write %s: %w", path, err)
	}
	return func() { l.Unlock() }, nil
}
