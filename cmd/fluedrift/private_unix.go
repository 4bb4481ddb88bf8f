//go:build unix

package main

import (
	"os/signal"
	"syscall"
)

// umaskPrivate makes every file the process creates from here on private, those
// of the database among them.
func umaskPrivate() { syscall.Umask(0o077) }

// ignoreSizeSignal turns the signal for a file that reaches its size limit into
// an error of the write.
func ignoreSizeSignal() { signal.Ignore(syscall.SIGXFSZ) }
