package main

import (
	"bytes"
	"context"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"

	"github.com/sourcegraph/conc"
	"github.com/stretchr/testify/require"
)

// A panic in the midst of a night ends it with code 1: the message names the
// stage, the metrics are written, the last list stays, and the next night goes on
// as if nothing had been.
func TestCrashEndsANightWithOne(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := afterNight(t, smallNight)
	config := filepath.Join(dir, "fluedrift.toml")
	withOutput(t, config, `metrics = "night.prom"`)
	before, err := os.ReadFile(filepath.Join(dir, "lists", "latest", "run.json"))
	require.NoError(t, err)

	for name, broken := range map[string]func(){
		"in the night": func() { panic("a slip") },
		"in a worker":  func() { var all conc.WaitGroup; all.Go(func() { panic("a slip") }); all.Wait() },
	} {
		if name == "in the night" && !long() {
			continue // code01_failed plays it
		}
		var out, said bytes.Buffer
		c := &call{streams: quietStreams(&out, &said)}
		c.config = config
		n, err := nightOf(c)
		require.NoError(t, err)
		c.trace = func(op publish.Op) {
			if op.In == publish.InLists && op.Do == "write" && strings.HasSuffix(op.Path, "run.json") {
				broken()
			}
		}
		ctx, cancel := context.WithCancel(t.Context())
		require.Equal(t, exitOther, conclude(ctx, c.streams, wholeNight(ctx, c, n)), name)
		cancel()
		require.Contains(t, said.String(), "fluedrift: a fault in the program stopped it while publishing: a slip\n", name)
		require.Contains(t, said.String(), "crash_test.go:", "%s: where it broke", name)
		require.NotContains(t, said.String(), `\u`, name)

		text, err := os.ReadFile(filepath.Join(dir, "night.prom"))
		require.NoError(t, err)
		require.Contains(t, string(text), "fluedrift_night_exit_code 1\n", name)
		require.Contains(t, string(text), `step="publishing"`, name)
		after, err := os.ReadFile(filepath.Join(dir, "lists", "latest", "run.json"))
		require.NoError(t, err)
		require.Equal(t, string(before), string(after), name)
		require.NoFileExists(t, filepath.Join(dir, "warehouse.duckdb.new"), name)
		if !long() {
			continue // code01_failed goes on
		}
		code, errs := nightHere(config, testNow)
		require.Zero(t, code, errs)
		before, err = os.ReadFile(filepath.Join(dir, "lists", "latest", "run.json"))
		require.NoError(t, err)
	}
}

// A crash is told as one even where a signal came as well.
func TestCrashIsNoInterruption(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	require.Equal(t, exitOther, atEnd(ctx, night.Caught(night.At("while testing"), func() error { panic("a slip") })))
	require.Equal(t, exitInterrupted, atEnd(ctx, fmt.Errorf("ended: %w", ctx.Err())))
}

// Every command catches a panic, not the nights alone.
func TestCrashOfAnyCommand(t *testing.T) {
	commands = append(commands, command{"broken", "", "", func(context.Context, *call) error { panic("a slip") }})
	defer func() { commands = commands[:len(commands)-1] }()
	var out, said bytes.Buffer
	require.Equal(t, exitOther, run(t.Context(), []string{"broken"}, quietStreams(&out, &said)))
	require.Contains(t, said.String(), "stopped it while running fluedrift broken: a slip\n")
}

// No condition has a code that a Go program also ends with by itself: 2 is a
// panic or no memory left (package runtime), over 128 a signal; 130 is kept for
// the interruption, which is one.
func TestNoConditionSharesACodeWithACrash(t *testing.T) {
	for _, c := range settings.Endings {
		require.NotEqual(t, 2, int(c.Condition), c.Name)
		require.True(t, c.Condition < 128 || c.Condition == settings.Interrupted, c.Name)
	}
	require.Equal(t, 64, exitUsage, "EX_USAGE of sysexits.h (BSD)")
}

// A panic in a goroutine that nobody waits for ends the process with 2, whatever
// its starter catches: goroutines are started with conc, which carries the panic
// over. The one watcher that waits for a signal catches its own.
func TestGoroutinesCarryTheirPanics(t *testing.T) {
	for _, p := range listPackages(t) {
		files, err := filepath.Glob(filepath.Join(p.Dir, "*.go"))
		require.NoError(t, err)
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") || strings.HasSuffix(filepath.ToSlash(name), "night/interrupt.go") {
				continue
			}
			set := token.NewFileSet()
			f, err := parser.ParseFile(set, name, nil, 0)
			require.NoError(t, err)
			ast.Inspect(f, func(node ast.Node) bool {
				if g, ok := node.(*ast.GoStmt); ok {
					t.Errorf("%s: start it with conc.WaitGroup", set.Position(g.Pos()))
				}
				return true
			})
		}
	}
}
