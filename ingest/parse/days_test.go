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
		"13/04/2018": ImpossibleDate, "31-Feb-2018": ImpossibleDate, "4-Okt-2018": UnreadableDate, "4-O-2018": UnreadableDate, "2018": UnreadableDate, "": UnreadableDate,
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
	assert.ErrorContains(t, err, "cannot stand beside others")
	_, err = NewDaysIn([]string{"mm/dd/yyyy", "m/d/yy"}, 0)
	assert.ErrorContains(t, err, "century")
	_, err = NewDaysIn(nil, 0)
	assert.Error(t, err)
}
