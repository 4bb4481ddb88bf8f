package hindsight

import (
	"context"
	"iter"

	"github.com/sourcegraph/conc"

	"fluedrift/analysis/fleet"
	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// sampleUnits is how many units the ratios of a look back are searched on: the
// night of the day took more, and orders by them hardly otherwise.
const sampleUnits = 1000

// Load reads a fleet from a warehouse, and the configuration its rules are made of.
type Load func(context.Context, *queries.Warehouse) (*fleet.Records, fleet.Config, error)

// Backtest looks from each day in turn, while what was known on the next one is
// read. A search for ratios starts where that of the day before ended. It builds the
// relations of the warehouse again for each day: what it is given is a copy.
func Backtest(ctx context.Context, copied *queries.Warehouse, load Load, o *Outcomes, days []day.Day, horizonDays int32) (
	all []*Origin, err error,
) {
	ctx, stop := context.WithCancel(ctx)
	known := make(chan Snapshot)
	var reader conc.WaitGroup
	var failed error
	reader.Go(func() {
		defer close(known)
		failed = send(ctx, snapshots(ctx, copied, load, days), known)
	})
	defer func() { // a reader is never left behind: it holds the copy of the warehouse
		stop()
		for range known {
		}
		reader.Wait()
		if err == nil {
			err = failed
		}
	}()
	var start map[judge.Fire]drift.Theta
	for then := range known {
		then.Rules.Model.Start = start
		one, err := look(ctx, then, o, horizonDays)
		if err != nil {
			return nil, err
		}
		start = one.Fleet.Ratios()
		if then.Day == days[len(days)-1] {
			if err := one.addTrends(ctx); err != nil {
				return nil, err
			}
		}
		one.Fleet = nil // it holds the whole fleet
		all = append(all, one)
	}
	return all, nil
}

// addTrends fits how fast biases of instruments move, and keeps what that says.
func (o *Origin) addTrends(ctx context.Context) error {
	if err := o.Fleet.Trends(ctx); err != nil {
		return err
	}
	for i := range o.Fleet.Fits {
		o.Trends = append(o.Trends, o.Fleet.Fits[i].CalibrationTrend()...)
	}
	return nil
}

// send hands on what was known until nobody asks any more.
func send(ctx context.Context, all iter.Seq2[Snapshot, error], known chan<- Snapshot) error {
	for then, err := range all {
		if err != nil {
			return err
		}
		select {
		case known <- then:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
	return nil
}

// snapshots reads what was known on each day. A day on which nothing was is left
// out.
func snapshots(ctx context.Context, w *queries.Warehouse, load Load, days []day.Day) iter.Seq2[Snapshot, error] {
	return func(yield func(Snapshot, error) bool) {
		for _, day := range days {
			then, err := snapshot(ctx, w, load, day)
			if err == nil && len(then.Histories) == 0 {
				continue
			}
			if !yield(then, err) {
				return
			}
		}
	}
}

// snapshot is the fleet as known on a day, with the rules of that day.
func snapshot(ctx context.Context, w *queries.Warehouse, load Load, day day.Day) (then Snapshot, err error) {
	if err := w.BuildAgain(ctx, day); err != nil {
		return then, err
	}
	records, set, err := load(ctx, w)
	if err != nil {
		return then, err
	}
	set.Model.SampleUnits = sampleUnits
	return Snapshot{Day: day, Histories: records.Histories, Rules: records.Options(set)}, nil
}
