package estimate

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Units on a common vent are a stratum of their class of control from minClass
// differences on, counted over the class; every word has a stratum with columns.
func TestStrata(t *testing.T) {
	of := map[string]int{"ratio": 500, "fixed air": 300, "linkage": 60, "oxygen trim": 70}
	for _, c := range []struct {
		name    string
		common  map[string]int
		names   []string
		stratum map[string]string
	}{
		{"none", nil, []string{"ratio", "fixed air", "other"}, map[string]string{"ratio": "ratio", "linkage": "other"}},
		{
			"enough",
			map[string]int{"ratio": minClass},
			[]string{"ratio", "fixed air", "other", "ratio, common vent"},
			map[string]string{"ratio": "ratio", "ratio, common vent": "ratio, common vent", "fixed air": "fixed air"},
		},
		{
			"one too few",
			map[string]int{"ratio": minClass - 1, "fixed air": 200},
			[]string{"ratio", "fixed air", "other", "fixed air, common vent"},
			map[string]string{"ratio, common vent": "ratio", "fixed air, common vent": "fixed air, common vent"},
		},
		{
			"small controls together",
			map[string]int{"linkage": 60, "oxygen trim": 40},
			[]string{"ratio", "fixed air", "other", "other, common vent"},
			map[string]string{"linkage, common vent": "other, common vent", "oxygen trim, common vent": "other, common vent", "linkage": "other"},
		},
		{
			"small controls, too few together",
			map[string]int{"linkage": 60, "oxygen trim": 39},
			[]string{"ratio", "fixed air", "other"},
			map[string]string{"linkage, common vent": "other", "oxygen trim, common vent": "other"},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := strata(newClasses(of), c.common)
			require.Equal(t, c.names, got.names)
			for word, want := range c.stratum {
				require.Equal(t, want, got.class(word), "%q", word)
			}
		})
	}
}
