package day_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/model/day"
)

// Day numbers of GNU date: date -u -d 2024-02-29 +%s, over 86400.
func TestDatesAreNumbered(t *testing.T) {
	for text, want := range map[string]day.Day{
		"1970-01-01": 0, "1969-12-31": -1, "2024-02-29": 19782, "2026-03-02": 20514, "1900-03-01": -25508,
	} {
		got, err := day.Parse(text)
		require.NoError(t, err)
		require.Equal(t, want, got, text)
		require.Equal(t, text, got.String())
	}
	for _, text := range []string{"", "2023-02-29", "2024-1-01", "01.02.2024"} {
		got, err := day.Parse(text)
		require.Error(t, err, text)
		require.Equal(t, day.None, got)
	}
	require.Empty(t, day.None.String())
	require.Less(t, day.None, day.Of(1, 1, 1))
}

// The date of a time is that of its own zone, whatever the hour.
func TestDateIsThatOfTheZone(t *testing.T) {
	east := time.FixedZone("east", 10*60*60)
	require.Equal(t, day.Of(2024, 3, 1), day.In(time.Date(2024, 3, 1, 0, 30, 0, 0, east)))
	require.Equal(t, day.Of(2024, 3, 1), day.In(time.Date(2024, 3, 1, 23, 30, 0, 0, east)))
}

func TestMonthsAreAdded(t *testing.T) {
	for _, c := range []struct {
		from         day.Day
		n            int
		added, month day.Day
	}{
		{day.Of(2023, 1, 31), 1, day.Of(2023, 2, 28), day.Of(2023, 2, 28)},
		{day.Of(2024, 1, 31), 1, day.Of(2024, 2, 29), day.Of(2024, 2, 28)},
		{day.Of(2024, 1, 31), 2, day.Of(2024, 3, 31), day.Of(2024, 3, 28)},
		{day.Of(2024, 3, 15), -3, day.Of(2023, 12, 15), day.Of(2023, 12, 15)},
		{day.Of(2024, 12, 1), 13, day.Of(2026, 1, 1), day.Of(2026, 1, 1)},
	} {
		require.Equal(t, c.added, c.from.AddMonths(c.n), "%s %d", c.from, c.n)
		require.Equal(t, c.month, c.from.MonthsOn(c.n), "%s %d", c.from, c.n)
	}
	rapid.Check(t, func(t *rapid.T) {
		d := day.Day(rapid.Int32Range(-40000, 60000).Draw(t, "day"))
		n := rapid.IntRange(-60, 60).Draw(t, "months")
		later := d.AddMonths(n)
		months := func(x day.Day) int { return 12*x.Year() + int(x.Month()) }
		require.Equal(t, months(d)+n, months(later))
		require.LessOrEqual(t, later.Time().Day(), d.Time().Day())
	})
}
