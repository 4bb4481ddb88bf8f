//go:build linux

package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A signal ends a build as it ends a night: code 130, the
// warehouse there was as it was to the byte, nothing half done beside it.
func TestSignalEndsABuild(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := fastDir(t)
	ref := reference(t)
	require.NoError(t, ref.left.write(dir))
	config := filepath.Join(dir, "fluedrift.toml")
	path := filepath.Join(dir, "warehouse.duckdb")
	build := func() *exec.Cmd { return exec.Command("fluedrift", "build", "-config", config, "-o", path) }
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	for i, sig := range []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGTERM}[:suite(1, 3)] { // a night is ended by either
		c := build()
		var errs bytes.Buffer
		c.Stderr = &errs
		require.NoError(t, c.Start())
		underWay(t, dir)
		time.Sleep(ref.took * time.Duration(i) / 20)
		sent := time.Now()
		require.NoError(t, c.Process.Signal(sig))
		err := c.Wait()
		soon(t, sent)
		require.Error(t, err, "the build ended before the signal")
		require.Equal(t, exitInterrupted, c.ProcessState.ExitCode(), errs.String())
		after, err := os.ReadFile(path)
		require.NoError(t, err)
		require.True(t, bytes.Equal(before, after), "the warehouse has changed")
		nothingTemporary(t, dir)
	}
	samePublished(t, ref.files, publishedFiles(t, dir), "after builds that were ended")
}
