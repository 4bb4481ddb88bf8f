package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"time"

	"golang.org/x/term"

	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/queries"
)

// streams are the ends a command talks through, and the clock it may look at.
type streams struct {
	in          io.Reader
	out, err    io.Writer
	now         func() time.Time
	interactive bool             // the error stream is a terminal
	asks        bool             // somebody sits at a terminal and can answer
	exit        func(code int)   // ends the process at once; nil in tests
	trace       func(publish.Op) // sees every change a night makes to its output; nil but in tests
}

func systemStreams() streams {
	info, err := os.Stderr.Stat()
	terminal := err == nil && info.Mode()&os.ModeCharDevice != 0
	asks := term.IsTerminal(int(os.Stdin.Fd())) && term.IsTerminal(int(os.Stdout.Fd()))
	return streams{in: os.Stdin, out: os.Stdout, err: os.Stderr, now: time.Now, interactive: terminal, asks: asks, exit: os.Exit}
}

// systemContext ends with the first SIGINT or SIGTERM.
func systemContext() context.Context {
	publish.IgnoreSizeSignal()
	ctx, _ := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	return ctx
}

// A command is one verb of the program; each stands in a file of its name.
type command struct {
	name, args, brief string
	run               func(ctx context.Context, c *call) error
}

// commands is filled by init below: help lists the table it stands in.
var commands []command

func init() {
	commands = []command{
		demoCommand, startCommand, inspectCommand, buildCommand, nightlyCommand, listCommand, unitCommand, daysCommand,
		hindsightCommand, ventsCommand, queryCommand, helpCommand, versionCommand,
	}
}

// A call is one command with its flags read.
type call struct {
	streams
	options
	args       []string
	guards     []publish.Protected    // what -o must not touch
	intoFolder bool                   // -o names a folder
	intoStore  bool                   // -o names a warehouse
	forecasts  bool                   // it reads the forecasts that a night stored
	bound      func(*queries.Options) // holds what the engine may take to less than usual; nil: it does not
}

// run does one command line and returns its exit code. Results go to out or to
// the file asked for; everything else goes to err.
func run(ctx context.Context, args []string, s streams) int {
	return conclude(ctx, s, night.Caught(night.At("while running fluedrift "+strings.Join(args[:min(len(args), 1)], "")),
		func() error { return choose(ctx, args, s) }))
}

// conclude writes an error out and gives its exit code.
func conclude(ctx context.Context, s streams, err error) int {
	end := night.ConditionAt(ctx, err)
	if end == settings.Interrupted && !errors.Is(err, errQuiet) {
		err = errInterrupted
	}
	if err != nil && !errors.Is(err, errQuiet) {
		fmt.Fprintf(s.err, "fluedrift: %s\n", night.Shown(err.Error()))
	}
	return int(end)
}

var errInterrupted = errors.New("interrupted; nothing was published")

// errQuiet ends a command whose message is already written.
var errQuiet = errors.New("")

func choose(ctx context.Context, args []string, s streams) error {
	if len(args) == 0 {
		usage(s.err)
		return settings.Fail(settings.Usage, "no command given\nsee: fluedrift help")
	}
	for _, c := range commands {
		if c.name != args[0] {
			continue
		}
		one, err := readFlags(c, args[1:], s)
		if errors.Is(err, flag.ErrHelp) {
			return nil
		}
		if err != nil {
			return err
		}
		return c.run(ctx, one)
	}
	return settings.Fail(settings.Usage, "unknown command %q\nsee: fluedrift help", args[0])
}
