package estimate

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every word has a class with columns, whatever was read of it.
func TestEveryWordHasAClass(t *testing.T) {
	for _, c := range []struct {
		name   string
		counts map[string]int
		class  map[string]string
	}{
		{"nothing read", map[string]int{}, map[string]string{"ratio": "", "": ""}},
		{"one control, another unread", map[string]int{"ratio": 500}, map[string]string{"ratio": "ratio", "linkage": "ratio"}},
		{
			"a small class is pooled",
			map[string]int{"ratio": 500, "linkage": 99, "fixed air": 100},
			map[string]string{"linkage": "other", "fixed air": "fixed air", "": "other"},
		},
		{"control not recorded", map[string]int{"": 500, "ratio": 200}, map[string]string{"": "", "ratio": "ratio", "linkage": ""}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := newClasses(c.counts)
			for word, want := range c.class {
				require.Equal(t, want, got.class(word), "%q", word)
			}
		})
	}
}

// A reader of a coefficient is told its unit, what 0 and 1 of the covariate are,
// where it is from and by what it was scaled; and why one has no value.
func TestCovariatesExplainThemselves(t *testing.T) {
	hs, r := ventFleet(t, true)
	r.LevelSteps = []LevelStep{{Area: "*", Day: r.AsOf - 400, Reason: "gas"}}
	f, err := Run(context.Background(), hs, r)
	require.NoError(t, err)
	require.Len(t, f.Fits, 2)
	dropped := 0
	for _, e := range slices.Concat(f.Fits[0].Effects, f.Fits[1].Effects) {
		require.NotEmpty(t, e.Unit, e.Name)
		require.NotEmpty(t, e.Coding, e.Name)
		require.NotEmpty(t, e.Source, e.Name)
		require.Positive(t, e.Scale, e.Name)
		require.Equal(t, math.IsNaN(e.Value), e.Dropped != nil, e.Name)
		if e.Dropped != nil {
			dropped++
		}
	}
	require.Positive(t, dropped)
}
