package main

import (
	"context"
	"fmt"
	"strings"

	"fluedrift/analysis/watch"
)

var nightlyCommand = command{"nightly", "", "read the exports, judge and forecast every unit, publish the lists (the main job)", nightly}

func nightly(ctx context.Context, c *call) error {
	n, err := newNight(c)
	if err != nil {
		return err
	}
	l, err := n.run(ctx)
	if err != nil {
		return err
	}
	if !c.quiet {
		fmt.Fprintln(c.out, n.oneLine(l))
	}
	return n.look()
}

// run takes a night from the exports to the publication. Whatever stops it,
// the last publication and the warehouse in use stay as they were.
func (n *night) run(ctx context.Context) (*lists, error) {
	if err := n.checkInput(); err != nil {
		return nil, err
	}
	release, err := takeLock(n.config, n.began)
	if err != nil {
		return nil, err
	}
	defer release()
	s, err := newStage(n.lists, dayText(n.asOf))
	if err != nil {
		return nil, err
	}
	defer s.drop()
	defer n.dropWarehouse()
	if n.last, err = latestRun(n.lists); err != nil {
		return nil, err
	}
	if n.before, err = runBefore(n.lists, dayText(n.asOf)); err != nil {
		return nil, err
	}
	l, err := n.make(ctx)
	if err != nil {
		return nil, err
	}
	return l, n.do("publishing", func() error { return n.publish(ctx, s, l) })
}

// make reads, judges and orders.
func (n *night) make(ctx context.Context) (l *lists, err error) {
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

// look ends a published night with code 10 where there is something to look at.
func (n *night) look() error {
	if len(n.notes) == 0 {
		return nil
	}
	return fail(exitLook, "published, with something to look at:\n  %s", strings.Join(n.notes, "\n  "))
}

// oneLine is all a quiet night says.
func (n *night) oneLine(l *lists) string {
	parts := []string{fmt.Sprintf("%d units listed as of %s", l.summary.Listed, dayText(n.asOf))}
	for _, t := range l.summary.Tiers {
		if t.Units > 0 && t.Tier < watch.ToPlan {
			parts = append(parts, fmt.Sprintf("%d %s", t.Units, t.Words))
		}
	}
	return strings.Join(parts, "; ") + fmt.Sprintf(" (%s)", n.lists)
}
