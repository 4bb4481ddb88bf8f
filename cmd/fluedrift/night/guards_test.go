package night

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/day"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// guarded is a night at its guards, with a publication before it.
func guarded(set func(n *Night)) *Night {
	c := new(settings.Config)
	c.Guards.MaxReadingsLost, c.Guards.MaxExportShrink, c.Guards.MaxListChange = 0.02, 0.1, 0.5
	c.Guards.MaxRegisterAside, c.Guards.MaxFileAside, c.Guards.RegisterTolerated = 0.05, 0.5, 0
	last := &Record{AsOf: "2025-03-01", Counts: map[string]int64{"readings": 1000, "units listed": 100, "units due": 40}}
	n := &Night{
		evidence: evidence{Config: c, asOf: 20150, byClock: true, last: last, readings: 1000},
		findings: findings{config: c},
	}
	set(n)
	return n
}

// guardCases puts each guard over its limit and under it.
func guardCases() []guardCase {
	summary := func(listed, due int) *Lists {
		return &Lists{Summary: watch.Summary{Listed: listed, Groups: []watch.GroupCount{{Group: watch.GoToday, Units: due}}}}
	}
	file := func(name, day string, records int64) Input {
		return Input{Name: name, Layout: "register", Record: "units", Outcome: "read", ExportDay: day, Records: records, Accepted: records}
	}
	lost := func(f Input, aside, doubtful int64) Input {
		f.Accepted, f.SetAside, f.Doubtful, f.Cause = f.Records-aside-doubtful, aside, doubtful, `unknown-code in column "Fire": "Top"`
		return f
	}
	readings := func(name, day string, records, aside int64) Input {
		f := lost(file(name, day, records), aside, 0)
		f.Layout, f.Record, f.Source = "tests", "readings", "north"
		return f
	}
	spoilt := func(f Input, lostReadings int64, column float64) Input {
		f.LostReadings, f.LinesSpoilt, f.worstColumn, f.worstShare = lostReadings, f.Records, "Vent", column
		return f
	}
	shrunk := func(n *Night, is Input, was ...Input) error {
		n.inputs, n.last.Inputs = []Input{is}, was
		return n.guards().shrunk()
	}
	register := func(n *Night, f Input) error {
		return n.settle(registerLines(n.Config, []Input{f}))
	}
	newest := func(n *Night, f ...Input) error { return n.settle(filesAside(n.Config, f)) }
	return []guardCase{
		{
			"readings", "21 of the 1000 readings of the last publication are gone: more than guards.max_readings_lost = 0.02",
			func(n *Night) error { n.readings = 979; return n.settle(n.lostReadings()) },
			func(n *Night) error { n.readings = 980; return n.settle(n.lostReadings()) },
		},
		{
			"list size", "49 units listed, 100 in the last publication",
			func(n *Night) error { return n.guards().lists(summary(49, 40)) },
			func(n *Night) error { return n.guards().lists(summary(50, 40)) },
		},
		{
			"list size", "61 units due for attention, 40 in the last publication",
			func(n *Night) error { return n.guards().lists(summary(100, 61)) },
			func(n *Night) error { return n.guards().lists(summary(150, 60)) },
		},
		{
			"checks", "check unique_keys has 2 rows: a; b",
			func(n *Night) error {
				return n.settle(guardChecks([]queries.Check{{Name: "unique_keys", Wrong: 2, First: []string{"a", "b"}}}))
			},
			func(n *Night) error { return n.settle(guardChecks([]queries.Check{{Name: "unique_keys"}})) },
		},
		{
			"register lines", `1 export of a register, targets or calibrations cannot be used: 204 of 1000 lines in u.csv (mostly unknown-code ` +
				`in column "Fire": "Top"): over guards.max_register_set_aside = 0.05`,
			func(n *Night) error { return register(n, lost(file("u.csv", "2025-02-01", 1000), 204, 0)) },
			func(n *Night) error { return register(n, file("u.csv", "2025-02-01", 1000)) },
		},
		{
			"register lines", "20 of 42 lines in t.csv",
			func(n *Night) error { return register(n, lost(file("t.csv", "2025-02-01", 42), 12, 8)) },
			func(n *Night) error { return register(n, readings("r.csv", "2025-02-01", 42, 20)) },
		},
		{
			"newest file", `most of the newest export of a source is set aside: 6 of 6 lines in r2.csv (mostly unknown-code in column "Fire": ` +
				`"Top")`,
			func(n *Night) error {
				return newest(n, readings("r1.csv", "2025-01-01", 1000, 0), readings("r2.csv", "2025-02-01", 6, 6))
			},
			func(n *Night) error {
				return newest(n, readings("r1.csv", "2025-01-01", 1000, 0), readings("r2.csv", "2025-02-01", 4, 4),
					readings("r3.csv", "2025-02-01", 6, 3))
			},
		},
		{
			"newest file", "6 of 6 lines in b.csv",
			func(n *Night) error { return newest(n, readings("a.csv", "", 1000, 0), readings("b.csv", "", 6, 6)) },
			func(n *Night) error { return newest(n, readings("a.csv", "", 1000, 0), readings("b.csv", "", 6, 2)) },
		},
		{
			"newest file", "6 of 10 lines in r2.csv", // each lost a reading to a cell
			func(n *Night) error { return newest(n, spoilt(readings("r2.csv", "2025-02-01", 10, 0), 6, 0)) },
			func(n *Night) error { return newest(n, spoilt(readings("r2.csv", "2025-02-01", 10, 0), 5, 0)) },
		},
		{
			"newest file", `60 % of the cells under "Vent" in u.csv`,
			func(n *Night) error { return newest(n, spoilt(file("u.csv", "2025-02-01", 10), 0, 0.6)) },
			func(n *Night) error { return newest(n, spoilt(file("u.csv", "2025-02-01", 10), 0, 0.5)) },
		},
		{
			"shrunk", "u.csv has 89 lines that can be used, it had 100 in the publication of 2025-03-01",
			func(n *Night) error {
				return shrunk(n, file("u.csv", "2025-02-01", 89), file("u.csv", "2025-02-01", 100))
			},
			func(n *Night) error {
				return shrunk(n, file("u.csv", "2025-02-01", 90), file("u.csv", "2025-02-01", 100))
			},
		},
		{
			"shrunk", "r.csv has 89 lines that can be used, it had 100 in the publication of 2025-03-01",
			func(n *Night) error {
				return shrunk(n, readings("r.csv", "2025-02-01", 100, 11), readings("r.csv", "2025-02-01", 100, 0))
			},
			func(n *Night) error {
				return shrunk(n, readings("r.csv", "2025-02-01", 5, 0), readings("r.csv", "2025-02-01", 7, 0))
			},
		},
		{
			"shrunk", "u2.csv has 80 lines that can be used, u1.csv had 100 in the publication of 2025-03-01",
			func(n *Night) error {
				return shrunk(n, file("u2.csv", "2025-03-01", 80), file("u1.csv", "2025-02-01", 100))
			},
			func(n *Night) error {
				n.inputs, n.last.Inputs = []Input{file("u0.csv", "2025-01-01", 80), file("u1.csv", "2025-02-01", 100)},
					[]Input{file("u1.csv", "2025-02-01", 100)}
				return n.guards().shrunk()
			},
		},
		{
			"fit", "the fit of high fire fell back",
			func(n *Night) error {
				n.Config.Guards.FitMustHold = true
				n.last.Fits = []Fit{{Fire: "high", Ratios: &drift.Theta{Q: 1}}}
				n.fits = []Fit{{Fire: "high", Ended: "no optimum"}}
				return n.settle(n.fellBack())
			},
			func(n *Night) error {
				n.Config.Guards.FitMustHold = true
				n.last.Fits = []Fit{{Fire: "high", Ratios: &drift.Theta{Q: 1}}, {Fire: "low"}}
				n.fits = []Fit{{Fire: "high", Ratios: &drift.Theta{Q: 2}}}
				return n.settle(n.fellBack())
			},
		},
		{
			"clock", "the clock says 2025-03-03 and late.csv is of 2025-03-05",
			func(n *Night) error {
				n.inputs = []Input{file("late.csv", "2025-03-05", 1)}
				return n.settle(n.clockBehind())
			},
			func(n *Night) error {
				n.inputs = []Input{file("east.csv", "2025-03-04", 1)}
				return n.settle(n.clockBehind())
			},
		},
	}
}

type guardCase struct {
	guard, says string
	over, under func(n *Night) error
}

// Each guard refuses over its limit, lets pass what is under it, and is
// tolerated by its name alone.
func TestGuardsHoldTheirLimits(t *testing.T) {
	for _, g := range guardCases() {
		t.Run(g.guard, func(t *testing.T) {
			n := guarded(func(*Night) {})
			err := g.over(n)
			require.ErrorContains(t, err, g.says)
			require.Equal(t, settings.Refused, settings.ConditionOf(err))
			n = guarded(func(n *Night) { n.Config.Guards.Tolerate = []string{g.guard} })
			require.NoError(t, g.over(n))
			require.Len(t, n.notes, 1)
			require.Contains(t, n.notes[0], "(tolerated: guards.tolerate has ")
			n = guarded(func(*Night) {})
			require.NoError(t, g.under(n))
			require.Empty(t, n.notes)
			require.Contains(t, settings.GuardNames, g.guard)
		})
	}
}

// A list for a day of the past holds less by right.
func TestGuardsLetThePastBe(t *testing.T) {
	n := guarded(func(n *Night) { n.readings, n.last.AsOf = 10, "2025-03-04" })
	require.NoError(t, n.settle(n.lostReadings()))
	require.NoError(t, n.guards().lists(&Lists{}))
}

// A source that fell silent is noted while others are fresh.
func TestSilentSource(t *testing.T) {
	n := guarded(func(n *Night) { n.Config.Guards.MaxSourceAgeDays = 30 })
	now := []Input{
		{Name: "a", Layout: "north", Outcome: "read", ExportDay: "2025-01-01"},
		{Name: "b", Layout: "south", Outcome: "read", ExportDay: "2025-03-01"},
	}
	require.Equal(t, []string{`the newest export of layout "north" is of 2025-01-01, 61 days old: more than guards.max_source_age_days = 30`},
		silentSources(n.Config, now, n.asOf))
}

// The search for the ratios starts where the publication before ended, to the
// last digit.
func TestWarmStartIsRead(t *testing.T) {
	ratios := drift.Theta{Q: 1.0 / 3, Tau: 0.1 + 0.2, B1: 1e-17, B2: 2}
	text, err := json.Marshal(Record{Fits: []Fit{{Fire: "high", Ratios: &ratios}, {Fire: "low"}}})
	require.NoError(t, err)
	before := new(Record)
	require.NoError(t, json.Unmarshal(text, before))
	r := warmStart(before, estimate.DefaultConfig(0, judge.Config{}))
	require.Equal(t, map[judge.Fire]drift.Theta{"high": ratios}, r.Start)
	require.Nil(t, warmStart(nil, estimate.DefaultConfig(0, judge.Config{})).Start)
}

// The help of guards.tolerate names every guard.
func TestTolerateNamesEveryGuard(t *testing.T) {
	var help strings.Builder
	settings.WriteKeys(&help)
	require.Contains(t, help.String(), "guards that end a night with 10 instead of 12: "+strings.Join(settings.GuardNames, ", "))
}

// A folder without a record before the as-of day says so.
func TestNoRecordBeforeTheDay(t *testing.T) {
	n := guarded(func(n *Night) { n.Config.Guards.MaxAgeDays = 60 })
	n.inputs = []Input{{Name: "late.csv", Outcome: "read", ExportDay: settings.DayText(n.asOf + 10)}}
	err := n.tooOld(day.None)
	require.Equal(t, settings.NoInput, settings.ConditionOf(err))
	require.ErrorContains(t, err, "no record in the exports is of 2025-03-03 or before")
	require.ErrorContains(t, n.tooOld(n.asOf-61), "the newest record is of 2025-01-01, 61 days before 2025-03-03")
	require.NoError(t, n.tooOld(n.asOf-60))
}

// A cell that cannot be read is said of a register as a lost line is, and counts among
// what cannot be used in full; neither stops a night.
func TestCellsAreSaid(t *testing.T) {
	n := guarded(func(*Night) {})
	f := Input{Name: "u.csv", Record: "units", Outcome: "read", Records: 10, Accepted: 10, LinesSpoilt: 9}
	require.NoError(t, n.settle(append(registerLines(n.Config, []Input{f}), setAsideShare(n.Config, []Input{f})...)))
	require.Len(t, n.notes, 2)
	require.Contains(t, n.notes[0], "cannot be used in full: 9 of 10 lines in u.csv")
	require.Contains(t, n.notes[1], "9 of 10 record lines cannot be used in full (9 without a cell)")
	require.Equal(t, []string{"cells of 9 more lines"}, linesLost([]Input{f}))
}
