package main

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/watch"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// guarded is a night at its guards, with a publication before it.
func guarded(set func(n *night)) *night {
	c := new(config)
	c.Guards.MaxReadingsLost, c.Guards.MaxExportShrink, c.Guards.MaxListChange = 0.02, 0.1, 0.5
	n := &night{call: &call{}, config: c, asOf: 20150, last: &runRecord{AsOf: "2025-03-01", Counts: map[string]int64{"readings": 1000, "units listed": 100, "units due": 40}}}
	n.readings = 1000
	set(n)
	return n
}

// guardCases puts each guard over its limit and under it.
func guardCases() []guardCase {
	summary := func(listed, due int) *lists {
		return &lists{summary: watch.Summary{Listed: listed, Tiers: []watch.TierCount{{Tier: watch.Tiers()[0], Units: due}}}}
	}
	file := func(name, day string, records int64) inputRecord {
		return inputRecord{Name: name, Layout: "register", Record: "units", Outcome: "read", ExportDay: day, Records: records}
	}
	return []guardCase{
		{"readings", "21 of the 1000 readings of the last publication are gone: more than guards.max_readings_lost = 0.02",
			func(n *night) error { n.readings = 979; return n.settle(n.lostReadings()) },
			func(n *night) error { n.readings = 980; return n.settle(n.lostReadings()) }},
		{"list size", "49 units listed, 100 in the last publication",
			func(n *night) error { return n.guardLists(summary(49, 40)) },
			func(n *night) error { return n.guardLists(summary(50, 40)) }},
		{"list size", "61 units due for attention, 40 in the last publication",
			func(n *night) error { return n.guardLists(summary(100, 61)) },
			func(n *night) error { return n.guardLists(summary(150, 60)) }},
		{"checks", "check unique_keys has 2 rows: a; b",
			func(n *night) error {
				return n.settle(guardChecks([]queries.Check{{Name: "unique_keys", Wrong: 2, First: []string{"a", "b"}}}))
			},
			func(n *night) error { return n.settle(guardChecks([]queries.Check{{Name: "unique_keys"}})) }},
		{"shrunk", "u.csv holds 89 records, u.csv held 100",
			func(n *night) error {
				n.last.Inputs = []inputRecord{file("u.csv", "2025-02-01", 100)}
				return n.settle(shrunkExports(n.config, []inputRecord{file("u.csv", "2025-02-01", 89)}, n.last))
			},
			func(n *night) error {
				n.last.Inputs = []inputRecord{file("u.csv", "2025-02-01", 100)}
				return n.settle(shrunkExports(n.config, []inputRecord{file("u.csv", "2025-02-01", 90)}, n.last))
			}},
		{"shrunk", "u2.csv holds 80 records, u1.csv held 100",
			func(n *night) error {
				n.last.Inputs = []inputRecord{file("u1.csv", "2025-02-01", 100)}
				return n.settle(shrunkExports(n.config, []inputRecord{file("u1.csv", "2025-02-01", 100), file("u2.csv", "2025-03-01", 80)}, n.last))
			},
			func(n *night) error {
				n.last.Inputs = []inputRecord{file("u1.csv", "2025-02-01", 100)}
				return n.settle(shrunkExports(n.config, []inputRecord{file("u0.csv", "2025-01-01", 80), file("u1.csv", "2025-02-01", 100)}, n.last))
			}},
		{"fit", "the fit of high fire fell back",
			func(n *night) error {
				n.config.Guards.FitMustHold = true
				n.last.Fits = []fitRecord{{Fire: "high", Ratios: &drift.Theta{Q: 1}}}
				n.fits = []fitRecord{{Fire: "high", Ended: "no optimum"}}
				return n.settle(n.fellBack())
			},
			func(n *night) error {
				n.config.Guards.FitMustHold = true
				n.last.Fits = []fitRecord{{Fire: "high", Ratios: &drift.Theta{Q: 1}}, {Fire: "low"}}
				n.fits = []fitRecord{{Fire: "high", Ratios: &drift.Theta{Q: 2}}}
				return n.settle(n.fellBack())
			}},
		{"clock", "the clock says 2025-03-03 and late.csv is of 2025-03-05",
			func(n *night) error {
				n.inputs = []inputRecord{file("late.csv", "2025-03-05", 1)}
				return n.settle(n.clockBehind())
			},
			func(n *night) error {
				n.inputs = []inputRecord{file("east.csv", "2025-03-04", 1)}
				return n.settle(n.clockBehind())
			}},
	}
}

type guardCase struct {
	guard, says string
	over, under func(n *night) error
}

// Each guard refuses over its limit, lets pass what is under it, and is
// tolerated by its name alone.
func TestGuardsHoldTheirLimits(t *testing.T) {
	for _, g := range guardCases() {
		t.Run(g.guard, func(t *testing.T) {
			n := guarded(func(*night) {})
			err := g.over(n)
			require.ErrorContains(t, err, g.says)
			require.Equal(t, exitRefused, codeOf(err))
			n = guarded(func(n *night) { n.config.Guards.Tolerate = []string{g.guard} })
			require.NoError(t, g.over(n))
			require.Len(t, n.notes, 1)
			require.Contains(t, n.notes[0], "(tolerated: guards.tolerate has ")
			n = guarded(func(*night) {})
			require.NoError(t, g.under(n))
			require.Empty(t, n.notes)
			require.Contains(t, guardNames, g.guard)
		})
	}
}

// A list for a day of the past holds less by right.
func TestGuardsLetThePastBe(t *testing.T) {
	n := guarded(func(n *night) { n.readings, n.last.AsOf = 10, "2025-03-04" })
	require.NoError(t, n.settle(n.lostReadings()))
	require.NoError(t, n.guardLists(&lists{}))
}

// A source that fell silent is noted while others are fresh.
func TestSilentSource(t *testing.T) {
	n := guarded(func(n *night) { n.config.Guards.MaxSourceAgeDays = 30 })
	now := []inputRecord{{Name: "a", Layout: "north", Outcome: "read", ExportDay: "2025-01-01"}, {Name: "b", Layout: "south", Outcome: "read", ExportDay: "2025-03-01"}}
	require.Equal(t, []string{`the newest export of layout "north" is of 2025-01-01, 61 days old: more than guards.max_source_age_days = 30`}, silentSources(n.config, now, n.asOf))
}

// The search for the ratios starts where the publication before ended, to the
// last digit.
func TestWarmStartIsRead(t *testing.T) {
	ratios := drift.Theta{Q: 1.0 / 3, Tau: 0.1 + 0.2, B1: 1e-17, B2: 2}
	text, err := json.Marshal(runRecord{Fits: []fitRecord{{Fire: "high", Ratios: &ratios}, {Fire: "low"}}})
	require.NoError(t, err)
	before := new(runRecord)
	require.NoError(t, json.Unmarshal(text, before))
	n := &night{before: before}
	r := n.warmStart(estimate.DefaultRules(0, judge.Rules{}))
	require.Equal(t, map[string]drift.Theta{"high": ratios}, r.Start)
	require.Nil(t, (&night{}).warmStart(estimate.DefaultRules(0, judge.Rules{})).Start)
}
