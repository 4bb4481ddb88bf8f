package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"strings"

	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"

	"fluedrift/ingest/parse"
)

// logForm is the form asked for: the flag's, else the configuration's.
func (c *call) logForm(cfg *settings.Config) string {
	if c.log != "" {
		return c.log
	}
	return cfg.Output.Log
}

// logs says whether log records replace the plain lines.
func (c *call) logs(cfg *settings.Config) bool { return c.logForm(cfg) != "" }

// logger makes the logger of a night. Without a form only -v shows anything:
// the steps, as plain lines. With one, a quiet night is a single record; -v adds
// a record a step.
func logger(c *call, cfg *settings.Config) *slog.Logger {
	level := slog.LevelInfo
	if c.verbose {
		level = slog.LevelDebug
	}
	options := &slog.HandlerOptions{Level: level}
	switch c.logForm(cfg) {
	case "text":
		return slog.New(slog.NewTextHandler(c.err, options))
	case "json":
		return slog.New(slog.NewJSONHandler(c.err, options))
	}
	if !c.verbose {
		return slog.New(slog.DiscardHandler)
	}
	return slog.New(plainSteps{c.err})
}

// plainSteps writes the steps of a night for a person.
type plainSteps struct{ out io.Writer }

func (plainSteps) Enabled(context.Context, slog.Level) bool { return true }
func (p plainSteps) WithAttrs([]slog.Attr) slog.Handler     { return p }
func (p plainSteps) WithGroup(string) slog.Handler          { return p }

func (p plainSteps) Handle(_ context.Context, r slog.Record) error {
	var step, seconds, note slog.Value
	r.Attrs(func(a slog.Attr) bool {
		switch a.Key {
		case "of_fit":
			note = a.Value
		case "step":
			step = a.Value
		case "seconds":
			seconds = a.Value
		}
		return true
	})
	if note.Kind() == slog.KindString {
		_, err := fmt.Fprintf(p.out, "%s: %s\n", r.Message, note.String())
		return err
	}
	if seconds.Kind() != slog.KindFloat64 {
		return nil
	}
	_, err := fmt.Fprintf(p.out, "%s: %.2f s\n", step, seconds.Float64())
	return err
}

// logEnd writes the one record of the night's end and, for each thing to look
// at, one more. The error it returns is not printed again.
func (n *night) logEnd(ctx context.Context, l *nightLists, err error) error {
	end := conditionAt(ctx, err)
	for _, note := range n.notes {
		n.said.Warn("to look at", "note", note)
	}
	attrs := []any{"code", int(end), "condition", end.Name(), "as_of", settings.DayText(n.asOf), "seconds", n.call.now().Sub(n.began).Seconds()}
	if l != nil {
		attrs = append(attrs, "units", l.summary.Units, "listed", l.summary.Listed, "due", dueUnits(l.summary), "lists", n.lists)
	}
	switch {
	case err == nil:
		if !n.call.quiet {
			n.said.Info("night done", attrs...)
		}
		return nil
	case end == settings.Look:
		n.said.Warn("night done", attrs...)
	default:
		n.said.Error("night ended", append(attrs, "error", err.Error())...)
	}
	return &settings.Failure{Condition: end, Err: errQuiet}
}

// conditionAt is the condition of an error, which is "interrupted" where a signal
// came before anything was published.
func conditionAt(ctx context.Context, err error) settings.Condition {
	end := settings.ConditionOf(err)
	if err != nil && end != settings.Look && ctx.Err() != nil && !isCrash(err) {
		return settings.Interrupted
	}
	return end
}

// noNight ends a night that could not begin: its configuration or its flags are
// wrong. The metrics file is looked up in what can be read of the configuration.
func noNight(c *call, err error) error {
	path, given := metricsIn(c.config)
	if given {
		n := &night{call: c, began: c.now()}
		var b strings.Builder
		n.writeMetrics(&b, nil, settings.ConditionOf(err))
		if broken := publish.SaveMetrics(settings.ReadLeniently(c.config), path, []byte(b.String())); broken != nil {
			return errors.Join(err, broken)
		}
	}
	if c.log == "" {
		return err
	}
	end := settings.ConditionOf(err)
	logger(c, new(settings.Config)).Error("night ended", "code", int(end), "condition", end.Name(), "error", err.Error())
	return &settings.Failure{Condition: end, Err: errQuiet}
}

// shown makes characters that steer a terminal visible: a message may quote
// text and file names from outside. Line ends stay.
func shown(s string) string {
	if !strings.ContainsFunc(s, parse.Steers) {
		return s
	}
	var b strings.Builder
	for _, r := range s {
		if parse.Steers(r) {
			fmt.Fprintf(&b, `\u%04x`, r)
			continue
		}
		b.WriteRune(r)
	}
	return b.String()
}
