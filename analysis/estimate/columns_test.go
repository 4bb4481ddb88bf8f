package estimate

import (
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
		{"a small class is pooled", map[string]int{"ratio": 500, "linkage": 99, "fixed air": 100}, map[string]string{"linkage": "other", "fixed air": "fixed air", "": "other"}},
		{"control not recorded", map[string]int{"": 500, "ratio": 200}, map[string]string{"": "", "ratio": "ratio", "linkage": ""}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := makeClasses(c.counts)
			for word, want := range c.class {
				require.Equal(t, want, got.class(word), "%q", word)
			}
		})
	}
}
