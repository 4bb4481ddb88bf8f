package night

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/queries"
)

// Whole runs a night and writes its metrics, whatever happened in it. The lists
// are nil where none were published.
func (n *Night) Whole(ctx context.Context) (l *Lists, err error) {
	err = Caught(n.reached, func() (err error) {
		l, err = n.Run(ctx)
		return err
	})
	if err == nil {
		err = n.Look()
	}
	return l, n.end(ctx, l, err)
}

// reached says how far a night came that stopped between two steps.
func (n *Night) reached() string {
	if len(n.steps) == 0 {
		return "before its first step"
	}
	return "after " + n.steps[len(n.steps)-1].name
}

// Run takes a night from the exports to the publication, and returns the lists
// published. Whatever stops it, the last publication and the warehouse in use stay
// as they were.
func (n *Night) Run(ctx context.Context) (l *Lists, err error) {
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
	ctx, ended := bounded(ctx, n.Config.Guards.MaxMemoryMB, n.reached)
	defer func() { err = ended(err) }()
	s, err := publish.NewStage(n.disk, settings.DayText(n.AsOf))
	if err != nil {
		return nil, err
	}
	defer s.DropStage()
	defer n.dropWarehouse()
	if err := n.readPublications(); err != nil {
		return nil, err
	}
	if l, err = n.make(ctx); err != nil {
		return nil, err
	}
	if err := n.guards().lists(l); err != nil {
		return nil, err
	}
	if err := n.do("publishing", func() error { return n.publish(ctx, s, l) }); err != nil {
		return nil, err
	}
	return l, nil
}

// Build takes a night from the exports to a warehouse and stops there: it forecasts
// and publishes nothing, and the guards of a night hold up to there. It returns how
// many units have a history.
func (n *Night) Build(ctx context.Context) (units int, err error) {
	if err := n.checkInput(); err != nil {
		return 0, err
	}
	release, err := n.begin(ctx)
	if err != nil {
		return 0, err
	}
	defer release()
	if !n.Into {
		if err := n.keepForecasts(); err != nil {
			return 0, err
		}
	}
	defer n.stopSoon(ctx)()
	ctx, ended := bounded(ctx, n.Config.Guards.MaxMemoryMB, n.reached)
	defer func() { err = ended(err) }()
	defer n.dropWarehouse()
	if err := n.readPublications(); err != nil {
		return 0, err
	}
	o := ordering{Night: n}
	if err := inOrder(ctx, n, append(n.reading(ctx), task{"checking the histories", func() error { return o.load(ctx) }})); err != nil {
		return 0, err
	}
	return len(o.records.Histories), n.useWarehouse(ctx)
}

// begin makes files private, takes the locks and opens the output.
func (n *Night) begin(ctx context.Context) (release func(), err error) {
	publish.UmaskPrivate()
	if err := publish.CheckWarehouse(ctx, n.Config); err != nil {
		return nil, err
	}
	free, err := publish.TakeLocks(n.Config, n.began)
	if err != nil {
		return nil, err
	}
	if err := n.openOutput(n.Trace); err != nil {
		free()
		return nil, err
	}
	return func() {
		n.disk.Close()
		free()
	}, nil
}

// readPublications reads the newest publication and the one to compare with.
func (n *Night) readPublications() error {
	root, asOf := n.disk.Lists(), settings.DayText(n.AsOf)
	last, passed, err := newestGood(root, func(string) bool { return true })
	if err != nil {
		return err
	}
	before, _, err := newestGood(root, func(day string) bool { return day < asOf })
	if err != nil {
		return err
	}
	n.last, n.before = last, before
	if n.recent, err = recentRuns(root, n.AsOf, n.Config.Guards.ShrinkDays); err != nil {
		return err
	}
	for _, p := range passed {
		n.note(fmt.Sprintf("passed over: %s; tonight is compared with %s", strings.ReplaceAll(p, "\n", "; "), comparedWith(last)))
	}
	return nil
}

// comparedWith names what the guards compare a night with.
func comparedWith(last *Record) string {
	if last == nil {
		return "no earlier one, so no guard sees what is gone or has shrunk"
	}
	return "that of " + last.AsOf
}

// A task is one step of a night to be done, with what a person reads while it runs.
type task struct {
	name string
	work func() error
}

// reading are the tasks from the exports to a warehouse that the guards let pass.
func (n *Night) reading(ctx context.Context) []task {
	return []task{
		{"opening a new warehouse", func() error { return n.newWarehouse(ctx) }},
		{"reading the exports", func() error { return n.read(ctx) }},
		{"checking what was read", func() error {
			n.parts.begin("checking what was read")
			if err := n.takeInputs(ctx); err != nil {
				return err
			}
			if err := n.takeMended(); err != nil {
				return err
			}
			return n.guards().exports(ctx, n.warehouse)
		}},
	}
}

// make reads, judges and orders.
func (n *Night) make(ctx context.Context) (l *Lists, err error) {
	err = inOrder(ctx, n, append(n.reading(ctx), task{"judging and ordering the units", func() error {
		l, err = (&ordering{Night: n}).lists(ctx)
		return err
	}}))
	return l, err
}

// inOrder runs tasks of a night one after the other, up to a signal.
func inOrder(ctx context.Context, n *Night, tasks []task) error {
	for _, t := range tasks {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := n.do(t.name, t.work); err != nil {
			return err
		}
	}
	return nil
}

// publish writes all lists into a stage, closes the warehouse and puts both in
// place. From the moment they are put in place a signal is no longer heeded.
func (n *Night) publish(ctx context.Context, s *publish.Stage, l *Lists) error {
	n.parts.begin("writing the lists")
	record := n.record(l)
	if err := writeLists(ctx, s, l, &record); err != nil {
		return err
	}
	n.parts.end()
	record.Timing["stages"] = n.parts.all
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
	keep := publish.Retention{Days: n.Config.Output.KeepDays, Count: n.Config.Output.KeepCount, MB: n.Config.Output.KeepMB}
	if n.Beside || len(n.clockNotes()) > 0 {
		keep = publish.Retention{} // a doubtful clock retires nothing, nor does a day that is not the newest
	}
	put := func() error { return s.PublishNewest(n.storeName(), keep) }
	if n.Beside {
		put = func() error { return s.PublishBeside(keep) }
	}
	if err := put(); err != nil {
		return err
	}
	n.published = true
	return nil
}

// writeLists writes every form of the lists into a stage.
func writeLists(ctx context.Context, s *publish.Stage, l *Lists, record *Record) (err error) {
	files, err := queries.NewParquetWriter(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, files.Close()) }()
	return writeForms(s, l.forms(asParquet(ctx, files, l.Summary.AsOf)), record)
}

// besideLatest sees whether the lists still go beside the newest: those of the day
// that latest shows replace it, with their warehouse, as a repeat of a day does, and
// the first of all are the newest.
func (n *Night) besideLatest() error {
	if !n.Beside {
		return nil
	}
	shelf, err := publish.ReadShelf(n.disk.Lists())
	n.Beside = err == nil && shelf.Latest != "" && shelf.Latest != settings.DayText(n.AsOf)
	return err
}

// stopSoon ends the process where a step goes on after a signal: the database
// finishes some statements before it looks up. What the night was writing is
// removed; a publication that is being put in place is let finish. The function
// returned ends the watch.
func (n *Night) stopSoon(ctx context.Context) (done func()) {
	if n.Exit == nil {
		return func() {}
	}
	return afterSignal(ctx, func() { n.stopNow(ctx) })
}

// stopNow removes what was being written and ends the process, even where that
// breaks.
func (n *Night) stopNow(ctx context.Context) {
	n.swapping.Lock()
	if n.published {
		n.swapping.Unlock()
		return
	}
	err := context.Canceled
	defer func() { n.Exit(ctx, err) }()
	n.disk.DropStage()
	queries.Remove(n.newPath())
	err = n.end(ctx, nil, context.Canceled)
}
