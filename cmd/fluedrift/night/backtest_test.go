package night

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/hindsight"
)

// A look back is as old as the days since its own.
func TestAgeOfALookBack(t *testing.T) {
	old := &Backtest{AsOf: "2025-11-01", Line: "old.", Ahead: true}
	require.Equal(t, int32(121), old.age(20514)) // date -d 2026-03-02 +%s, over 86400
}

// Of a look back with too few looks a night names no rule that would be as good.
func TestShortWordsOfFewLooks(t *testing.T) {
	r := &Backtest{AsOf: "2026-02-01", Verdict: string(hindsight.TooFew)}
	require.Equal(t, "the hindsight of 2026-02-01 has too few cases to compare the forecast with simple rules", r.short())
}

// The newest look back older than a night's own day is taken; what does not read
// back is passed over and named.
func TestNewestLookBack(t *testing.T) {
	lists := t.TempDir()
	none, passed := newestBacktest(lists, "2025-03-03")
	require.Nil(t, none)
	require.Empty(t, passed)
	require.Empty(t, none.headLine())
	for day, text := range map[string]string{
		"2024-03-03": `{"as_of":"2024-03-03","line":"old"}`,
		"2025-01-05": `{"as_of":"2025-01-05","line":"newest older","ahead_of_simple_rules":true}`,
		"2025-03-03": `{"as_of":"2025-03-03","line":"of the day itself"}`,
	} {
		require.NoError(t, os.MkdirAll(filepath.Join(lists, "hindsight", day), 0o700))
		require.NoError(t, os.WriteFile(filepath.Join(lists, "hindsight", day, "hindsight.json"), []byte(text), 0o600))
	}
	one, passed := newestBacktest(lists, "2025-03-03")
	require.Empty(t, passed)
	require.Equal(t, "newest older", one.headLine())
	require.NoError(t, os.WriteFile(filepath.Join(lists, "hindsight", "2025-01-05", "hindsight.json"), []byte("{"), 0o600))
	one, passed = newestBacktest(lists, "2025-03-03")
	require.Equal(t, "old", one.headLine())
	require.Contains(t, passed, "2025-01-05 passed over")
}
