package fleet_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/fleet"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/datasets/demo"
	"fluedrift/model/combustion"
	"fluedrift/model/day"
	"fluedrift/model/judge"
)

// set is a configuration of nothing but defaults.
func set(t *testing.T) fleet.Config {
	t.Helper()
	fuels, err := combustion.Fuels(nil, combustion.AirO2Field)
	require.NoError(t, err)
	return fleet.Config{Fuels: fuels, List: watch.DefaultConfig(0, judge.Config{}), Model: estimate.DefaultConfig(0, judge.Config{})}
}

// The whole road on a small fleet from its files: a night estimates, assesses and
// ranks it. What the warehouse then holds gives a command that reads the same
// lines, of the whole fleet and of one unit alone, and the same fits without a
// search. Left out of a fit, certificates would make it another one.
func TestRoad(t *testing.T) {
	asOf := day.Of(2026, 3, 2)
	dir := t.TempDir()
	require.NoError(t, demo.New(demo.Options{Units: 120, Years: 12, Seed: 3, AsOf: asOf, World: demo.Default()}).Write(dir))
	w := fromFiles(t, dir, asOf)

	records, err := fleet.Load(t.Context(), w, "")
	require.NoError(t, err)
	judged, err := fleet.Judge(t.Context(), records.Histories, records.Options(set(t)))
	require.NoError(t, err)
	require.NotEmpty(t, judged.Rules.Model.Certificates)
	judged.Rules.Model.Draws = 50
	night, err := fleet.Estimate(t.Context(), judged)
	require.NoError(t, err)
	require.Len(t, night.Forecasts, len(records.Histories))
	require.NoError(t, estimate.Save(t.Context(), w, records.Histories, night, words.OfEstimate()))
	lines := fleet.Assess(judged, night.Forecasts)
	ordered := fleet.Rank(judged, lines, night)
	requireRanked(t, lines, ordered)

	stored, err := fleet.Forecasts(t.Context(), w, records.Histories)
	require.NoError(t, err)
	again := fleet.Rank(judged, fleet.Assess(judged, stored), nil)
	require.Len(t, again, len(ordered))
	for i := range again {
		requireSameLine(t, &ordered[i], &again[i])
	}

	at := len(ordered) / 3
	one, err := fleet.Load(t.Context(), w, ordered[at].Unit.Serial)
	require.NoError(t, err)
	alone, err := fleet.Judge(t.Context(), one.Histories, one.Options(set(t)))
	require.NoError(t, err)
	stored, err = fleet.Forecasts(t.Context(), w, one.Histories)
	require.NoError(t, err)
	line := fleet.Assess(alone, stored)[0]
	requireSameLine(t, &ordered[at], &line)

	fits, err := fleet.StoredFits(t.Context(), w)
	require.NoError(t, err)
	restored, err := fleet.Restore(t.Context(), judged, fits)
	require.NoError(t, err)
	require.Empty(t, restored.Notes)
	require.Len(t, restored.Fits, len(night.Fits))
	for i := range restored.Fits {
		require.InEpsilon(t, night.Fits[i].Beta.Sigma, restored.Fits[i].Beta.Sigma, 0.01)
	}
	without := *judged
	without.Rules.Model.Certificates = nil
	other, err := fleet.Restore(t.Context(), &without, fits)
	require.NoError(t, err)
	require.NotEqual(t, restored.Fits[0].Beta.Sigma, other.Fits[0].Beta.Sigma)
}

// requireRanked holds that every unit that is not removed has one rank, and that
// ranks with an interval lie in it.
func requireRanked(t *testing.T, lines, ordered []watch.Line) {
	t.Helper()
	listed, intervals := 0, 0
	for i := range lines {
		if !lines[i].Removed {
			listed++
		}
	}
	require.Len(t, ordered, listed)
	for i := range ordered {
		l := &ordered[i]
		require.Equal(t, i+1, l.Rank)
		if l.RankTo > 0 {
			intervals++
			require.LessOrEqual(t, l.RankFrom, l.RankTo)
		}
	}
	require.Positive(t, intervals)
}

// requireSameLine holds that two lines say the same of a unit. Ranks and their
// intervals are of the whole list.
func requireSameLine(t *testing.T, want, got *watch.Line) {
	t.Helper()
	serial := want.Unit.Serial
	require.Equal(t, serial, got.Unit.Serial)
	require.Equal(t, want.Group, got.Group, serial)
	require.Equal(t, words.Reasons(want), words.Reasons(got), serial)
	require.Equal(t, want.Marks, got.Marks, serial)
	require.Equal(t, want.Plan, got.Plan, serial)
	if want.OutProbability >= 0 {
		require.InDelta(t, want.OutProbability, got.OutProbability, 1e-12, serial)
	}
}
