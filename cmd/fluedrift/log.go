package main

import (
	"context"
	"fmt"
	"io"
	"log/slog"

	"fluedrift/cmd/fluedrift/settings"
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
func (c *call) logger(cfg *settings.Config) *slog.Logger {
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
