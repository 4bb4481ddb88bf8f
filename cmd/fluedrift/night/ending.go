package night

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
)

// Look ends a published night, or a build, with code 10 where there is something to
// look at.
func (n *Night) Look() error {
	if len(n.notes) == 0 {
		return nil
	}
	done := "built"
	if n.published {
		done = "published"
	}
	return settings.Fail(settings.Look, "%s, with something to look at:\n  %s", done, strings.Join(n.notes, "\n  "))
}

// end writes the metrics of a night. They are written whatever happened and agree
// with the exit code: a fault of theirs changes how the night ended.
func (n *Night) end(ctx context.Context, l *Lists, err error) error {
	e := ended{
		version: n.Version, began: n.began, at: n.Now(), condition: ConditionAt(ctx, err), notes: len(n.notes),
		folder: n.folder, asOf: n.AsOf, beside: n.Beside, inputs: n.inputs, readings: n.readings, steps: n.steps, lists: l,
	}
	var b bytes.Buffer
	e.write(&b)
	if broken := n.saveMetrics(b.Bytes()); broken != nil {
		n.note(broken.Error())
		switch {
		case err == nil || settings.ConditionOf(err) == settings.Look:
			err = n.Look()
		default:
			err = errors.Join(err, broken)
		}
	}
	return err
}

// saveMetrics writes the metrics of a night, where the configuration asks for
// them.
func (n *Night) saveMetrics(text []byte) error {
	if n.Config.Output.Metrics == "" {
		return nil
	}
	return publish.SaveMetrics(n.Config, n.Config.Path(n.Config.Output.Metrics), text)
}

// OneLine is all a quiet night says, what could not be used first.
func (n *Night) OneLine(l *Lists) string {
	parts := []string{fmt.Sprintf("%s listed as of %s", Count(l.Summary.Listed, "unit"), settings.DayText(n.AsOf))}
	if u := l.Summary.Unread; u > 0 {
		parts = append(parts, fmt.Sprintf("%d without a reading (%s)", u, percentOf(int64(u), int64(l.Summary.Listed))))
	}
	for _, g := range l.Summary.Groups {
		if g.Units > 0 && g.Group < watch.CanWait {
			parts = append(parts, fmt.Sprintf("%d %s", g.Units, g.Words))
		}
	}
	parts = append(parts, n.back.short())
	where := n.folder
	if n.Beside {
		where = fmt.Sprintf("%s; latest and the warehouse stay as they are: -publish moves them",
			filepath.Join(n.folder, settings.DayText(n.AsOf)))
	}
	return strings.Join(append(slices.Clone(l.Summary.Lost), strings.Join(parts, "; ")), " ") + fmt.Sprintf(" (%s)", where)
}

// LogEnd writes the one record of the night's end and, for each thing to look
// at, one more.
func (n *Night) LogEnd(ctx context.Context, l *Lists, err error) {
	end := ConditionAt(ctx, err)
	for _, note := range n.notes {
		n.Log.Warn("to look at", "note", note)
	}
	attrs := []any{"code", int(end), "condition", end.Name(), "as_of", settings.DayText(n.AsOf), "seconds", n.Now().Sub(n.began).Seconds()}
	if l != nil {
		attrs = append(attrs, "units", l.Summary.Units, "listed", l.Summary.Listed, "due", dueUnits(l.Summary), "lists", n.folder)
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

// record is the run.json of a night.
func (n *Night) record(l *Lists) Record {
	end := settings.Done
	if len(n.notes) > 0 {
		end = settings.Look
	}
	r := Record{
		Program: "fluedrift", Schema: table.Schema, AsOf: settings.DayText(n.AsOf), Condition: end.Name(), Code: int(end),
		Notes:  n.notes,
		Config: n.Config.Digest, Settings: n.Config.ListsDigest(), Layouts: folderDigest(n.Config.Path(n.Config.Exports.Layouts)),
		Fits: n.fits, OfFleet: slices.Concat(l.notes, n.let), Unused: l.unused, StillBooked: l.stillBooked,
		CommonCause: l.Summary.CommonCause, Medians: n.medians,
		Hindsight: n.back.record(), Inputs: n.inputs, Cautions: words.Cautions(), Counts: map[string]int64{}, Timing: map[string]any{},
	}
	if n.before != nil {
		r.Previous = n.before.AsOf
	}
	for _, f := range n.inputs {
		r.Counts["files "+f.Outcome]++
		r.Counts["lines header"] += f.Header
		r.Counts["lines blank"] += f.Blank
		r.Counts["lines skipped"] += f.Skipped
		r.Counts["lines accepted"] += f.Accepted
		r.Counts["lines superseded"] += f.Superseded
		r.Counts["lines duplicate"] += f.Duplicate
		r.Counts["lines doubtful"] += f.Doubtful
		r.Counts["lines set aside"] += f.SetAside
		r.Counts["cells set aside"] += f.CellsSetAside
		r.Counts["lines not read"] += f.linesUnread()
		r.Counts["columns not read"] += f.columnsUnread()
	}
	r.Counts["readings"], r.Counts[countCalibrations] = n.readings, int64(n.calibrations)
	r.Counts["units"], r.Counts["units listed"], r.Counts["units due"] = int64(l.Summary.Units), int64(l.Summary.Listed),
		dueUnits(l.Summary)
	r.Counts["units unread"] = int64(l.Summary.Unread)
	r.Timing["version"] = n.Version
	r.Timing["began"] = n.began.UTC().Format(time.RFC3339)
	for _, s := range n.steps {
		r.Timing[s.name+" s"] = fmt.Sprintf("%.2f", s.seconds)
	}
	r.Timing["written"] = n.Now().UTC().Format(time.RFC3339)
	return r
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
	var b bytes.Buffer
	e := ended{version: version, began: now(), at: now(), condition: settings.ConditionOf(err)}
	e.write(&b)
	return publish.SaveMetrics(settings.ReadLeniently(config), path, b.Bytes())
}

// Lost says, for the head of every list and for what a night prints, what was
// exported and could not be used, and which sources are silent: a sentence each,
// none where there is nothing of the kind.
func (n *Night) Lost() []string { return lossesOf(n.inputs, n.silent) }
