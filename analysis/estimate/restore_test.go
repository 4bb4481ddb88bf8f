package estimate_test

import (
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/estimate"
	"fluedrift/analysis/report/words"
	"fluedrift/datasets/demo"
	"fluedrift/model/drift"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// A fit that is taken up from the warehouse is the night's: the same spreads with the
// same errors, without a search; its shifts are the stored ones, and where those were
// of a draw of the units, all units' instead.
func TestResumeIsTheNights(t *testing.T) {
	units := 140
	if os.Getenv("FLUEDRIFT_LONG") != "" {
		units = 300
	}
	o := estimated(t, 3, units, demo.Default(), quick, func(r *estimate.Config) { r.PutBack(estimate.EstimatedRatios) })
	w, err := queries.Create(t.Context(), t.TempDir()+"/w.duckdb", queries.Options{Threads: 1, Version: "test"})
	require.NoError(t, err)
	defer w.Close()
	require.NoError(t, w.Build(t.Context(), o.rules.AsOf))
	require.NoError(t, estimate.Save(t.Context(), w, o.histories, o.out, words.OfEstimate()))
	var night estimate.Stored
	night.Fits, err = w.Fits(t.Context())
	require.NoError(t, err)
	require.Len(t, night.Fits, len(o.out.Fits))
	night.Shifts, err = w.Shifts(t.Context())
	require.NoError(t, err)
	want, err := o.out.Study(t.Context())
	require.NoError(t, err)
	again, err := estimate.Resume(t.Context(), o.histories, o.rules, night)
	require.NoError(t, err)
	require.Empty(t, again.Notes)
	for i := range again.Fits {
		require.Equal(t, estimate.AsStored{Text: night.Fits[i].Ended}, again.Fits[i].BetaEnded())
		require.Len(t, again.Fits[i].Effects, len(o.out.Fits[i].Effects))
		for k, e := range o.out.Fits[i].Effects {
			g := again.Fits[i].Effects[k]
			require.Equal(t, e.Name, g.Name)
			require.Equal(t, e.Usable, g.Usable, e.Name)
			if e.Dropped == nil {
				require.InDelta(t, e.Value, g.Value, 0.1*e.SE, "%s: a reading in many may be removed here and not there", e.Name)
			}
		}
	}
	got, err := again.Study(t.Context())
	require.NoError(t, err)
	require.Empty(t, got.Shifts, "nothing is fitted twice")
	require.Equal(t, night.Shifts, got.Stored)
	require.Len(t, want.Variances, 2)
	for fire, all := range want.Variances {
		for k, v := range all {
			g := got.Variances[fire][k]
			require.Equal(t, v.Part, g.Part)
			require.InEpsilon(t, v.SD, g.SD, 0.02, "%s, %s: the noise may differ by so much, see sameNoise", fire, words.Part(v.Part))
			if v.SE > 0 {
				require.InEpsilon(t, v.SE, g.SE, 0.1, "%s, %s", fire, words.Part(v.Part))
			}
		}
	}

	for i := range night.Shifts {
		night.Shifts[i].Units--
	}
	night.Fits[0].SigmaPoints *= 2
	again, err = estimate.Resume(t.Context(), o.histories, o.rules, night)
	require.NoError(t, err)
	require.Len(t, again.Notes, 1)
	require.IsType(t, estimate.OtherNoise{}, again.Notes[0])
	require.Equal(t, judge.High, again.Notes[0].(estimate.OtherNoise).Fire)
	got, err = again.Study(t.Context())
	require.NoError(t, err)
	require.NotEmpty(t, got.Shifts)
	require.Empty(t, got.Stored)
	effects := 0
	for _, s := range got.Shifts {
		require.Equal(t, s.Events, s.Units, s.Name)
		effects += len(s.Fit.Coefficients)
	}
	require.Equal(t, len(night.Shifts), effects)
}

// A part of the variance that a night's search does not find is said in its notes,
// once a fire; what it finds is not. With wandering planted at nothing some fleets do
// not find it, and with it planted all of these do.
func TestNotDetectedIsSaid(t *testing.T) {
	said := func(seed uint64, wander float64) (n int) {
		o := estimated(t, seed, 150, plainWith(func(w *demo.World) { w.WanderSD = wander }), brief)
		for i := range o.out.Fits {
			fit := &o.out.Fits[i]
			missing := slices.Contains(fit.Beta.Search.NotDetected, drift.Wandering)
			note := slices.ContainsFunc(o.out.Notes, func(n estimate.Note) bool {
				not, ok := n.(estimate.NotDetected)
				return ok && not.Fire == fit.Fire && slices.Contains(not.Parts, drift.Wandering)
			})
			require.Equal(t, missing, note, "seed %d, %s fire", seed, fit.Fire)
			if note {
				n++
			}
		}
		return n
	}
	without, with, seeds := 0, 0, uint64(2)
	if os.Getenv("FLUEDRIFT_LONG") != "" {
		seeds = 3
	}
	for seed := uint64(1); seed <= seeds; seed++ {
		without, with = without+said(seed, 0), with+said(seed, 0.1)
	}
	t.Logf("said in %d and %d of %d fits", without, with, 2*seeds)
	require.Positive(t, without)
	require.Zero(t, with)
}
