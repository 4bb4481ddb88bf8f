package settings

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
)

// National holidays, each against a calendar published elsewhere (dates from memory):
// a holiday on a weekend also takes the day it is kept on.
func TestNationalHolidays(t *testing.T) {
	for country, want := range map[string][]string{
		"us": {"2026-07-03", "2026-07-04", "2026-11-26", "2026-12-25"}, // 5 U.S.C. 6103: Saturday's is kept on Friday
		"gb": {"2026-04-03", "2026-04-06", "2026-12-28"},               // Easter Sunday is 5 April 2026; 26 December a Saturday
		"DE": {"2026-05-14", "2026-05-25", "2026-10-03"},               // Ascension, Whit Monday, unity
		"fr": {"2026-07-14"},
	} {
		got, err := holidaysOf(country, day.Of(2026, time.January, 1), day.Of(2027, time.January, 1))
		require.NoError(t, err)
		for _, text := range want {
			d, err := day.Parse(text)
			require.NoError(t, err)
			require.Contains(t, got, d, "%s %s", country, text)
		}
	}
	// New Year's Day 2028 is a Saturday: kept on Friday, 31 December 2027.
	got, err := holidaysOf("us", day.Of(2027, time.December, 27), day.Of(2028, time.January, 1))
	require.NoError(t, err)
	require.Equal(t, []day.Day{day.Of(2027, time.December, 31)}, got)
	_, err = holidaysOf("xx", 0, 1)
	require.ErrorContains(t, err, "name the days in crews.holidays")
	none, err := holidaysOf("", 0, 1)
	require.NoError(t, err)
	require.Empty(t, none)
}
