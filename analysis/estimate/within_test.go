package estimate_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/watch"
	"fluedrift/datasets/demo"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// idleAfter returns a history with one visit more, at which nothing was set and
// whose only reading at each fire shows no burner at work.
func idleAfter(h *judge.History, day day.Day) *judge.History {
	out := *h
	out.Visits = append(append([]judge.Visit(nil), h.Visits...),
		judge.Visit{ID: "idle", Day: day, Minute: -1, Reason: "annual", AdjustedHigh: judge.No, AdjustedLow: judge.No})
	out.Readings = append([]judge.Reading(nil), h.Readings...)
	for _, fire := range []judge.Fire{judge.High, judge.Low, judge.Single} {
		var last *judge.Reading
		for k := range h.Readings {
			if h.Readings[k].Fire == fire {
				last = &h.Readings[k]
			}
		}
		if last == nil {
			continue
		}
		x := *last
		x.Visit, x.Day, x.Condition, x.AirTempC, x.Analyzer = len(h.Visits), day, judge.AsFound, math.NaN(), ""
		x.CO2Percent, x.O2Percent, x.COPPM = 0, 20.9, 0
		out.Readings = append(out.Readings, x)
	}
	return &out
}

// What was read without a burner at work moves no forecast of any unit, and no
// CO2 that is published, expected or the end of an interval, in figures or in a
// chart, is negative or more than the fuel can make: not for a unit last read
// twenty years ago either, nor for one whose target stands at the fuel's limit.
func TestIdleReadingsAndLimitsOfForecasts(t *testing.T) {
	o := invented(5, 80, demo.Default())
	r := rulesFor(t, o.histories)
	for i, h := range o.histories {
		switch i % 8 {
		case 0: // nobody came for long
			for k := range h.Visits {
				h.Visits[k].Day -= 20 * 365
			}
			for k := range h.Readings {
				h.Readings[k].Day -= 20 * 365
			}
			h.Unit.Installed -= 20 * 365
		case 1: // target and readings stand at the most that the fuel can make
			most := r.Judge.MostCO2(h.Unit.Fuel)
			for k := range h.Targets {
				h.Targets[k].Target.CO2Percent, h.Targets[k].Target.O2Percent = most, math.NaN()
			}
			for k := range h.Readings {
				x := &h.Readings[k]
				x.Target.CO2Percent, x.Target.O2Percent = most, math.NaN()
				x.CO2Percent, x.O2Percent = most, math.NaN()
			}
		}
	}
	run := func(histories []*judge.History) *estimate.Fleet {
		out, err := estimate.Run(context.Background(), histories, r)
		require.NoError(t, err)
		return out
	}
	plain := run(o.histories)
	rules := watch.DefaultConfig(r.AsOf, r.Judge)
	held := 0
	for i, f := range plain.Forecasts {
		h := o.histories[i]
		most := r.Judge.MostCO2(h.Unit.Fuel)
		within := func(values ...float64) {
			for _, v := range values {
				require.False(t, v < 0 || v > most, "unit %s: %v", h.Unit.Serial, values)
				if v == 0 || v >= most-0.01 {
					held++
				}
			}
		}
		l := assess(h, rules, f)
		for k := range f.Fires {
			p := &f.Fires[k]
			within(p.CO2Percent, p.LowPercent, p.HighPercent, p.RecordedLowPercent, p.RecordedHighPercent)
			for _, q := range p.Path {
				within(q.CO2Percent, q.LowPercent, q.HighPercent)
			}
		}
		for _, fire := range watch.ChartOf(h, &l, rules).Fires {
			for _, q := range fire.Fan {
				within(q.CO2Percent, q.LowPercent, q.HighPercent)
			}
		}
	}
	require.Positive(t, held, "the limits were never reached: the test shows nothing")

	idle := make([]*judge.History, len(o.histories))
	for i, h := range o.histories {
		idle[i] = h
		if i%4 == 3 && len(h.Readings) > 0 {
			idle[i] = idleAfter(h, r.AsOf-10)
		}
	}
	again := run(idle)
	for i := range idle {
		require.Len(t, again.Forecasts[i].Fires, len(plain.Forecasts[i].Fires))
		for k := range again.Forecasts[i].Fires {
			a, b := &plain.Forecasts[i].Fires[k], &again.Forecasts[i].Fires[k]
			require.InDelta(t, a.CO2Percent, b.CO2Percent, 1e-3, "unit %s %s", idle[i].Unit.Serial, a.Fire)
			require.InDelta(t, a.LowPercent, b.LowPercent, 1e-3, "unit %s %s", idle[i].Unit.Serial, a.Fire)
		}
	}
}
