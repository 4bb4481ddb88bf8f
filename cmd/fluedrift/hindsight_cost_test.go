//go:build linux

package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fluedrift/datasets/measured"
)

// A look back from eight days on 10,000 units takes no more processor time than two
// cores have in two minutes. It was one minute until forecasts learned from past ones
// and followed instruments that age, on each of the days: 98 s became 165 and 210 on a
// busy machine. The clock is printed: on a shared machine it tells of the neighbours.
func TestLookBackOnTenThousandIsFast(t *testing.T) {
	if os.Getenv("FLUEDRIFT_LONG") == "" {
		t.Skip("takes minutes; set FLUEDRIFT_LONG=1")
	}
	const bound = 240 // seconds
	dir := t.TempDir()
	var out, errs bytes.Buffer
	code := run(context.Background(), []string{"demo", "-dir", dir, "-units", "10000"}, quietStreams(&out, &errs))
	require.Equal(t, exitDone, code, errs.String())
	spent := func() float64 {
		var u syscall.Rusage
		require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
		return float64(u.Utime.Sec+u.Stime.Sec) + float64(u.Utime.Usec+u.Stime.Usec)/1e6
	}
	start, clock := spent(), time.Now()
	code = run(context.Background(), []string{"hindsight", "-config", filepath.Join(dir, "fluedrift.toml")}, quietStreams(&out, &errs))
	cpu, wall := spent()-start, time.Since(clock).Seconds()
	require.Equal(t, exitDone, code, errs.String())
	require.Contains(t, out.String(), "forecast on 8 days")
	t.Logf("%.0f s of processor time, %.0f s of clock", cpu, wall)
	measured.Of(t, "hindsight-cost").Number("10,000 units, eight days", "CPU s", cpu, 0, fmt.Sprintf("at most %d", bound))
	require.Less(t, cpu, float64(bound))
}
