//go:build unix

package publish

import (
	"os/signal"
	"syscall"
)

// UmaskPrivate makes every file the process creates from here on private, those
// of the database among them.
func UmaskPrivate() { syscall.Umask(0o077) }

// IgnoreSizeSignal turns the signal for a file that reaches its size limit into
// an error of the write.
func IgnoreSizeSignal() { signal.Ignore(syscall.SIGXFSZ) }
