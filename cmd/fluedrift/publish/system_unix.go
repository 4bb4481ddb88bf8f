//go:build unix

package publish

import (
	"io/fs"
	"os"
	"os/signal"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/google/renameio/v2"
)

// UmaskPrivate makes every file the process creates from here on private, those
// of the database among them.
func UmaskPrivate() { syscall.Umask(0o077) }

// IgnoreSizeSignal turns the signal for a file that reaches its size limit into
// an error of the write.
func IgnoreSizeSignal() { signal.Ignore(syscall.SIGXFSZ) }

// Spent returns the processor time this process has taken, seconds, and the most memory
// it has had, bytes.
func Spent() (cpuSeconds, peakBytes float64) {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0, 0
	}
	const kilobytes = 1024 // the unit of Maxrss on Linux
	return time.Duration(u.Utime.Nano() + u.Stime.Nano()).Seconds(), float64(u.Maxrss) * kilobytes
}

// Resident returns the memory this process has now, bytes; 0 where the system does not
// tell.
func Resident() float64 {
	text, err := os.ReadFile("/proc/self/statm")
	if err != nil {
		return 0
	}
	fields := strings.Fields(string(text))
	if len(fields) < 2 {
		return 0
	}
	pages, err := strconv.ParseFloat(fields[1], 64)
	if err != nil {
		return 0
	}
	return pages * float64(os.Getpagesize())
}

// replaceFile puts a whole file in the place of the one that is there and keeps
// that one's rights.
func replaceFile(path string, text []byte, mode fs.FileMode) error {
	return renameio.WriteFile(path, text, mode, renameio.WithExistingPermissions())
}

// duplicate opens an open file of this process once more.
func duplicate(descriptor int, path string) (*os.File, error) {
	fd, err := syscall.Dup(descriptor)
	if err != nil {
		return nil, &fs.PathError{Op: "write to", Path: path, Err: err}
	}
	return os.NewFile(uintptr(fd), path), nil
}

// connectSocket connects to a socket of this machine that has a name in the file
// system.
func connectSocket(path string) (*os.File, error) {
	syscall.ForkLock.RLock() // SOCK_CLOEXEC is not known to every system of this kind
	fd, err := syscall.Socket(syscall.AF_UNIX, syscall.SOCK_STREAM, 0)
	if err == nil {
		syscall.CloseOnExec(fd)
	}
	syscall.ForkLock.RUnlock()
	if err == nil {
		if err = syscall.Connect(fd, &syscall.SockaddrUnix{Name: path}); err == nil {
			return os.NewFile(uintptr(fd), path), nil
		}
		syscall.Close(fd)
	}
	return nil, &fs.PathError{Op: "connect to", Path: path, Err: err}
}

// syncPath waits until a file, or the names in a folder, are on the disk.
func syncPath(root *os.Root, path string) error {
	f, err := root.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	return f.Sync()
}

// noteHolder writes into a lock who holds it.
func noteHolder(path, note string) error { return os.WriteFile(path, []byte(note), 0o600) }
