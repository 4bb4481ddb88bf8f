package parse

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestSeveralWays: the ways of writing days of a column are tried in order.
func TestSeveralWays(t *testing.T) {
	d, err := NewDaysIn([]string{"mm/dd/yyyy", "m/d/yy", "d-mmm-yyyy", "yyyy-mm-dd"}, 1970)
	require.NoError(t, err)
	for text, want := range map[string]string{
		"10/04/2018": "2018-10-04", "10/7/18": "2018-10-07", "1/2/70": "1970-01-02", "04-Oct-2018": "2018-10-04", "4-october-2018": "2018-10-04",
		"4-Sept-2018": "2018-09-04", "4-Oct.-2018": "2018-10-04", "2018-10-04": "2018-10-04", "10/7/18 2:30 PM": "2018-10-07",
	} {
		day, _, f := d.Parse(text)
		if assert.Nil(t, f, text) {
			assert.Equal(t, want, ISO.Format(day), text)
		}
	}
	for text, want := range map[string]string{
		"13/04/2018": ImpossibleDate, "31-Feb-2018": ImpossibleDate, "4-Okt-2018": UnreadableDate, "4-O-2018": UnreadableDate,
		"2018": UnreadableDate, "": UnreadableDate,
	} {
		_, _, f := d.Parse(text)
		if assert.NotNil(t, f, text) {
			assert.Equal(t, want, f.Reason, text)
		}
	}
	_, _, f := d.Parse("2018")
	assert.Contains(t, f.Message, "mm/dd/yyyy or m/d/yy or d-mmm-yyyy or yyyy-mm-dd")

	other, ok := d.Exchanged()
	require.True(t, ok)
	assert.Equal(t, "dd/mm/yyyy or d/m/yy or d-mmm-yyyy or yyyy-mm-dd", other.Pattern())
	named, err := NewDays("d-mmm-yyyy", 0)
	require.NoError(t, err)
	_, ok = named.Exchanged()
	assert.False(t, ok, "a month that is named cannot be taken for a day")
	day, _, _ := named.Parse("04-Oct-2018")
	assert.Equal(t, "4-Oct-2018", named.Format(day))
}

// TestWaysThatContradict: day first and month first in one column cannot be told
// apart, and a plain number stands alone.
func TestWaysThatContradict(t *testing.T) {
	_, err := NewDaysIn([]string{"mm/dd/yyyy", "d.m.yyyy"}, 0)
	assert.ErrorContains(t, err, "no cell tells which of them it has")
	_, err = NewDaysIn([]string{"mm/dd/yyyy", "day number 1900"}, 0)
	assert.ErrorContains(t, err, `"day number 1900" cannot stand beside "mm/dd/yyyy": a number could be either`)
	for _, other := range []string{"yyyymmdd", "mm.yyyy", "yyyy", "unix milliseconds", "day number 1900"} {
		_, err = NewDaysIn([]string{other, "unix seconds"}, 0)
		assert.ErrorContains(t, err, "a number could be either", other)
	}
	_, err = NewDaysIn([]string{"mm/dd/yyyy", "m/d/yy"}, 0)
	assert.ErrorContains(t, err, "century")
	_, err = NewDaysIn(nil, 0)
	assert.Error(t, err)
}

// A count since 1970 stands beside days that are written with marks, in either order.
// 1,700,000,000 s is 14 November 2023, 22:13:20 UTC (POSIX.1, Seconds Since the Epoch).
func TestCountsBesideWrittenDays(t *testing.T) {
	for _, patterns := range [][]string{{"unix milliseconds", "yyyy-mm-dd"}, {"dd.mm.yyyy", "yyyy-mm-dd", "unix milliseconds"}} {
		days, err := NewDaysIn(patterns, 0)
		require.NoError(t, err)
		for text, want := range map[string]string{"1700000000000": "2023-11-14", "2023-11-15T08:13:20+10:00": "2023-11-15"} {
			day, _, fault := days.Parse(text)
			require.Nil(t, fault, text)
			assert.Equal(t, want, day.String())
		}
	}
}
