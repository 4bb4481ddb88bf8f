package fleet

import (
	"context"
	"fmt"

	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// lineTarget is where a target of a model line is looked up.
type lineTarget struct {
	line string
	fire judge.Fire
	fuel string
}

// span is a target with the half-open days it holds.
type span struct {
	from, until day.Day
	target      judge.Target
}

// lineTargets reads what model lines ask for, for judging fuels a unit is not
// registered for.
func lineTargets(ctx context.Context, w *queries.Warehouse) (judge.LineTargets, error) {
	slices, err := w.Slices(ctx, "")
	if err != nil {
		return nil, fmt.Errorf("read targets: %w", err)
	}
	all := map[lineTarget][]span{}
	for _, s := range slices {
		units, err := w.UnitsIn(ctx, s)
		if err != nil {
			return nil, fmt.Errorf("read targets: %w", err)
		}
		targets, err := w.Targets(ctx, s)
		if err != nil {
			return nil, fmt.Errorf("read targets: %w", err)
		}
		for i := range targets {
			t := &targets[i]
			key := lineTarget{units[t.UnitKey-s.From].ModelLine, t.Fire, t.Fuel}
			all[key] = addSpan(all[key], span{t.From, t.Until, t.Target})
		}
	}
	return func(line string, fire judge.Fire, fuel string, day day.Day) judge.Target {
		for _, s := range all[lineTarget{line, fire, fuel}] {
			if inForce(s.from, s.until, day) {
				return s.target
			}
		}
		return judge.Target{}
	}, nil
}

// addSpan keeps one target for each first day: units of a line share it.
func addSpan(spans []span, s span) []span {
	for i := range spans {
		if spans[i].from == s.from {
			return spans
		}
	}
	return append(spans, s)
}
