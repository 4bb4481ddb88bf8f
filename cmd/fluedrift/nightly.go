package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
)

var nightlyCommand = command{"nightly", "", "read the exports, judge and forecast every unit, publish the lists (the main job)", nightly}

func nightly(ctx context.Context, c *call) error {
	var n *night
	err := caught(stageNamed("while reading the configuration"), func() (err error) {
		n, err = newNight(c)
		return err
	})
	if err != nil {
		return noNight(c, err)
	}
	return n.whole(ctx)
}

// whole runs a night and says how it ended, whatever happened in it.
func (n *night) whole(ctx context.Context) error {
	var l *nightLists
	err := caught(n.reached, func() (err error) {
		l, err = n.run(ctx)
		return err
	})
	if err == nil {
		err = n.look()
	}
	return n.end(ctx, l, err)
}

// reached says how far a night came that stopped between two steps.
func (n *night) reached() string {
	if len(n.steps) == 0 {
		return "before its first step"
	}
	return "after " + n.steps[len(n.steps)-1].name
}

// run takes a night from the exports to the publication, and returns the lists
// published. Whatever stops it, the last publication and the warehouse in use stay
// as they were.
func (n *night) run(ctx context.Context) (*nightLists, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if err := n.checkInput(); err != nil {
		return nil, err
	}
	release, err := n.begin(ctx)
	if err != nil {
		return nil, err
	}
	defer release()
	defer n.stopSoon(ctx)()
	s, err := publish.NewStage(n.disk, settings.DayText(n.asOf))
	if err != nil {
		return nil, err
	}
	defer s.DropStage()
	defer n.dropWarehouse()
	if err := n.readPublications(); err != nil {
		return nil, err
	}
	l, err := n.make(ctx)
	if err != nil {
		return nil, err
	}
	if err := n.guardLists(l); err != nil {
		return nil, err
	}
	if err := n.do("publishing", func() error { return n.publish(ctx, s, l) }); err != nil {
		return nil, err
	}
	return l, nil
}

// begin makes files private, takes the locks and opens the output.
func (n *night) begin(ctx context.Context) (release func(), err error) {
	publish.UmaskPrivate()
	if err := publish.CheckWarehouse(n.config, ctx); err != nil {
		return nil, err
	}
	free, err := publish.TakeLocks(n.config, n.began)
	if err != nil {
		return nil, err
	}
	if err := n.openOutput(); err != nil {
		free()
		return nil, err
	}
	return func() {
		n.disk.Close()
		free()
	}, nil
}

// readPublications reads the newest publication and the one to compare with.
func (n *night) readPublications() error {
	root, asOf := n.disk.Lists(), settings.DayText(n.asOf)
	last, passed, err := newestGood(root, func(string) bool { return true })
	if err != nil {
		return err
	}
	before, _, err := newestGood(root, func(day string) bool { return day < asOf })
	if err != nil {
		return err
	}
	n.last, n.before = last, before
	if n.recent, err = recentRuns(root, n.asOf, n.config.Guards.ShrinkDays); err != nil {
		return err
	}
	for _, p := range passed {
		n.notes = append(n.notes, fmt.Sprintf("passed over: %s; tonight is compared with %s", strings.ReplaceAll(p, "\n", "; "), comparedWith(last)))
	}
	return nil
}

// comparedWith names what the guards compare a night with.
func comparedWith(last *runRecord) string {
	if last == nil {
		return "no earlier one, so that no guard sees what is gone or has shrunk"
	}
	return "that of " + last.AsOf
}

// make reads, judges and orders.
func (n *night) make(ctx context.Context) (l *nightLists, err error) {
	for _, step := range []struct {
		name string
		work func() error
	}{
		{"opening a new warehouse", func() error { return n.newWarehouse(ctx) }},
		{"reading the exports", func() error { return n.read(ctx) }},
		{"checking what was read", func() error {
			if err := n.takeInputs(ctx); err != nil {
				return err
			}
			if err := n.takeMended(ctx); err != nil {
				return err
			}
			return n.guard(ctx)
		}},
		{"judging and ordering the units", func() error {
			l, err = n.order(ctx)
			return err
		}},
	} {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if err := n.do(step.name, step.work); err != nil {
			return nil, err
		}
	}
	return l, nil
}

// publish writes all lists into a stage, closes the warehouse and puts both in
// place. From the moment they are put in place a signal is no longer heeded.
func (n *night) publish(ctx context.Context, s *publish.Stage, l *nightLists) error {
	record := n.record(l)
	if err := writeForms(s, l.forms(), &record); err != nil {
		return err
	}
	if err := record.sign(); err != nil {
		return err
	}
	text, err := jsonText(record)
	if err != nil {
		return err
	}
	if err := s.Write("run.json", text); err != nil {
		return err
	}
	if err := n.warehouse.Sign(ctx, record.Publication); err != nil {
		return err
	}
	if err := n.closeWarehouse(ctx); err != nil {
		return err
	}
	if err := n.besideLatest(); err != nil {
		return err
	}
	n.swapping.Lock()
	defer n.swapping.Unlock()
	if err := ctx.Err(); err != nil {
		return err
	}
	keep := publish.Retention{Days: n.config.Output.KeepDays, Count: n.config.Output.KeepCount}
	if n.beside || len(n.clockNotes()) > 0 {
		keep.Days = 0 // a doubtful clock retires nothing, nor does a day that is not the newest
	}
	put := func() error { return s.PublishNewest(n.storeName(), keep) }
	if n.beside {
		put = func() error { return s.PublishBeside(keep) }
	}
	if err := put(); err != nil {
		return err
	}
	n.published = true
	return nil
}

// besideLatest sees whether the lists still go beside the newest: those of the day
// that latest shows replace it, with their warehouse, as a repeat of a day does.
func (n *night) besideLatest() error {
	if !n.beside {
		return nil
	}
	shelf, err := publish.ReadShelf(n.disk.Lists())
	n.beside = err == nil && shelf.Latest != settings.DayText(n.asOf)
	return err
}

// look ends a published night with code 10 where there is something to look at.
func (n *night) look() error {
	if len(n.notes) == 0 {
		return nil
	}
	return settings.Fail(settings.Look, "published, with something to look at:\n  %s", strings.Join(n.notes, "\n  "))
}

// end says how the night went: one line, or a log record, and the metrics. They
// are written whatever happened and agree with the exit code.
func (n *night) end(ctx context.Context, l *nightLists, err error) error {
	var b bytes.Buffer
	n.writeMetrics(&b, l, conditionAt(ctx, err))
	if broken := n.saveMetrics(b.Bytes()); broken != nil {
		n.notes = append(n.notes, broken.Error())
		switch {
		case err == nil || settings.ConditionOf(err) == settings.Look:
			err = n.look()
		default:
			err = errors.Join(err, broken)
		}
	}
	if n.call.logs(n.config) {
		return n.logEnd(ctx, l, err)
	}
	if l != nil && !n.call.quiet {
		fmt.Fprintln(n.call.out, n.oneLine(l))
	}
	return err
}

// oneLine is all a quiet night says, what could not be used first.
func (n *night) oneLine(l *nightLists) string {
	parts := []string{fmt.Sprintf("%s listed as of %s", count(l.summary.Listed, "unit"), settings.DayText(n.asOf))}
	if u := l.summary.Unread; u > 0 {
		parts = append(parts, fmt.Sprintf("%d without a reading (%s)", u, percentOf(int64(u), int64(l.summary.Listed))))
	}
	for _, t := range l.summary.Tiers {
		if t.Units > 0 && t.Tier < watch.NoReading {
			parts = append(parts, fmt.Sprintf("%d %s", t.Units, t.Words))
		}
	}
	parts = append(parts, n.back.short())
	where := n.lists
	if n.beside {
		where = fmt.Sprintf("%s; latest and the warehouse stay as they are: -publish moves them", filepath.Join(n.lists, settings.DayText(n.asOf)))
	}
	return strings.Join(append(slices.Clone(l.summary.Lost), strings.Join(parts, "; ")), " ") + fmt.Sprintf(" (%s)", where)
}
