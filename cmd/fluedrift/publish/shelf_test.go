package publish

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Retention never takes the latest good publication, nor the day published.
func TestRetention(t *testing.T) {
	s := &Shelf{links: map[string]string{}, Latest: "2020-01-01"}
	for _, day := range []string{"2020-01-01", "2024-05-01", "2026-01-01", "2026-02-01", "2026-03-01", "2026-03-02"} {
		s.links[day] = day + ".1"
		s.editions = append(s.editions, edition{day, 1})
	}
	require.Equal(t, []string{"2026-01-01", "2024-05-01"}, s.tooOld("2026-03-02", Retention{30, 2, 0}))
	require.Equal(t, []string{"2024-05-01"}, s.tooOld("2026-03-02", Retention{400, 2, 0}))
	require.Empty(t, s.tooOld("2026-03-02", Retention{0, 0, 0}), "0 days keeps all")
	require.Empty(t, s.tooOld("2026-03-02", Retention{1, 6, 0}), "the count keeps all")
	each := func(string) int64 { return 10 }
	require.Empty(t, s.tooLarge("2026-03-02", nil, 0, each), "no bound")
	require.Empty(t, s.tooLarge("2026-03-02", nil, 60, each), "all fit")
	require.Equal(t, []string{"2024-05-01", "2026-01-01"}, s.tooLarge("2026-03-02", nil, 40, each), "the oldest first, not the latest")
	require.Equal(t, []string{"2026-01-01"}, s.tooLarge("2026-03-02", []string{"2024-05-01"}, 40, each), "the too old have gone")
	require.Equal(t, []string{"2024-05-01", "2026-01-01", "2026-02-01"}, s.tooLarge("2026-03-02", nil, 1, each),
		"neither the day published nor the one before, which it is compared with")
	require.Equal(t, []string{"2026-01-01", "2026-02-01", "2026-03-01", "2026-03-02"}, s.tooLarge("2024-05-01", nil, 1, each))
	require.NotContains(t, s.tooOld("2024-05-01", Retention{1, 0, 0}), "2024-05-01", "the day published")
}
