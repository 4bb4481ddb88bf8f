package night

import (
	"bytes"
	"context"
	"time"

	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
)

// LogEnd writes the one record of the night's end and, for each thing to look
// at, one more.
func (n *Night) LogEnd(ctx context.Context, l *Lists, err error) {
	end := ConditionAt(ctx, err)
	for _, note := range n.notes {
		n.Log.Warn("to look at", "note", note)
	}
	attrs := []any{"code", int(end), "condition", end.Name(), "as_of", settings.DayText(n.AsOf), "seconds", n.Now().Sub(n.began).Seconds()}
	if l != nil {
		attrs = append(attrs, "units", l.Summary.Units, "listed", l.Summary.Listed, "due", dueUnits(l.Summary), "lists", n.lists)
	}
	switch {
	case err == nil:
		n.Log.Info("night done", attrs...)
	case end == settings.Look:
		n.Log.Warn("night done", attrs...)
	default:
		n.Log.Error("night ended", append(attrs, "error", err.Error())...)
	}
}

// ConditionAt is the condition of an error, which is "interrupted" where a signal
// came before anything was published.
func ConditionAt(ctx context.Context, err error) settings.Condition {
	end := settings.ConditionOf(err)
	if err != nil && end != settings.Look && ctx.Err() != nil && !isCrash(err) {
		return settings.Interrupted
	}
	return end
}

// WithoutNight writes the metrics of a night that could not begin, because its
// configuration or its command line is wrong. The metrics file is looked up in what
// can be read of the configuration.
func WithoutNight(config, version string, now func() time.Time, err error) error {
	path, given := metricsIn(config)
	if !given {
		return nil
	}
	n := &Night{Options: Options{Version: version, Now: now}, began: now()}
	var b bytes.Buffer
	n.writeMetrics(&b, nil, settings.ConditionOf(err))
	return publish.SaveMetrics(settings.ReadLeniently(config), path, b.Bytes())
}
