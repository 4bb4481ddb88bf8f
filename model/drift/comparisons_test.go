package drift

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A reading whose calibration period is not known is one difference of its analyzer,
// the last of them too.
func TestDifferencesWithoutAPeriodCountOnce(t *testing.T) {
	read := func(year float64, analyzer int) Visit {
		r := Reading{Kind: AsFound, Analyzer: analyzer, Period: -1}
		return Visit{T: year, Readings: []Reading{r}, Adjusted: No, Analyzer: -1, Period: -1}
	}
	f, err := NewFleet(Input{
		Rules: DefaultConfig(), Analyzers: 2, Periods: 1,
		Series: []Series{{Unit: "A1", Visits: []Visit{read(0, 0), read(1, 1), read(2, 0)}}},
	})
	require.NoError(t, err)
	require.Equal(t, 2, f.Counts().CrossAnalyzer)
	assert.Equal(t, []int{2, 2, 0}, f.met)
	assert.Equal(t, []int{1, 1, 0}, f.metBy)
}
