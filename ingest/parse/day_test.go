package parse

import (
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
)

// dayOf is the day number of a date by the standard library.
func dayOf(t *testing.T, s string) day.Day {
	t.Helper()
	at, err := time.ParseInLocation("2006-01-02", s, time.UTC)
	require.NoError(t, err)
	return day.Day(at.Unix() / 86400)
}

// TestDays: expected days follow from the calendar (the standard library's).
func TestDays(t *testing.T) {
	for _, c := range []struct {
		pattern, text, day string
		minute             int16
		reason             string
	}{
		{"yyyy-mm-dd", "2024-06-05", "2024-06-05", -1, ""},
		{"yyyy-mm-dd", " 2024-06-05\u00a0", "2024-06-05", -1, ""},
		{"yyyy-mm-dd", "2024-06-05 00:00:00", "2024-06-05", -1, ""},
		{"yyyy-mm-dd", "2024-06-05 00:01", "2024-06-05", 1, ""},
		{"yyyy-mm-dd", "2024-06-05T23:30:00-04:00", "2024-06-05", 1410, ""},
		{"yyyy-mm-dd", "2024-06-05T00:30:00Z", "2024-06-05", 30, ""},
		{"yyyy-mm-dd", "2024-06-05 23:30:00 UTC", "2024-06-05", 1410, ""},
		{"yyyy-mm-dd", "2024-06-05 23:30 GMT", "2024-06-05", 1410, ""},
		{"yyyy-mm-dd", "2024-06-05 23:30 EST", "", 0, UnreadableDate},
		{"yyyy-mm-dd", "2024-06-05 UTC", "", 0, UnreadableDate},
		{"yyyy-mm-dd", "2024-06-05T24:00:00", "", 0, UnreadableDate},
		{"yyyy-mm-dd", "2024-06-05T00:30:00.123+0530", "2024-06-05", 30, ""},
		{"yyyy-mm-dd", "2024-03-10 02:30:00", "2024-03-10", 150, ""}, // an hour that the clock skips in places
		{"yyyy-mm-dd", "2024-06-05  7:05 PM", "2024-06-05", 1145, ""},
		{"yyyy-mm-dd", "2024-06-05 12:05 am", "2024-06-05", 5, ""},
		{"yyyy-mm-dd", "２０２４-06-05", "2024-06-05", -1, ""},
		{"yyyy-mm-dd", "2024-02-29", "2024-02-29", -1, ""},
		{"yyyy-mm-dd", "2000-02-29", "2000-02-29", -1, ""},
		{"yyyy-mm-dd", "1969-12-31", "1969-12-31", -1, ""},
		{"yyyy-mm-dd", "1900-02-29", "", 0, ImpossibleDate},
		{"yyyy-mm-dd", "2023-02-29", "", 0, ImpossibleDate},
		{"yyyy-mm-dd", "2024-00-05", "", 0, ImpossibleDate},
		{"yyyy-mm-dd", "2024-06-31", "", 0, ImpossibleDate},
		{"yyyy-mm-dd", "0024-06-05", "", 0, ImpossibleDate},
		{"yyyy-mm-dd", "2024-6-5", "", 0, UnreadableDate},
		{"yyyy-mm-dd", "20-12-31", "", 0, UnreadableDate},
		{"yyyy-mm-dd", "2024/06/05", "", 0, UnreadableDate},
		{"yyyy-mm-dd", "2024-06-051", "", 0, UnreadableDate},
		{"yyyy-mm-dd", "2024-06-05 25:00", "", 0, UnreadableDate},
		{"yyyy-mm-dd", "2024-06-05 13:00 PM", "", 0, UnreadableDate},
		{"yyyy-mm-dd", "2024-06-05T", "", 0, UnreadableDate},
		{"yyyy-mm-dd", "2024-06-05 12:00 noon", "", 0, UnreadableDate},
		{"yyyy-mm-dd", "45234", "", 0, UnreadableDate},
		{"yyyy-mm-dd", "#VALUE!", "", 0, FormulaError},
		{"dd/mm/yyyy", "03/04/2024", "2024-04-03", -1, ""},
		{"dd/mm/yyyy", "04/13/2024", "", 0, ImpossibleDate},
		{"dd/mm/yyyy", "29/02/2023", "", 0, ImpossibleDate},
		{"mm/dd/yyyy", "03/04/2024", "2024-03-04", -1, ""},
		{"mm/dd/yyyy", "3/4/2024", "", 0, UnreadableDate},
		{"m/d/yyyy", "3/4/2024", "2024-03-04", -1, ""},
		{"m/d/yyyy", "12/31/2024", "2024-12-31", -1, ""},
		{"dd.mm.yyyy", "05.06.2024 07:30", "2024-06-05", 450, ""},
		{"dd.mm.yyyy", "05.06.24", "", 0, UnreadableDate},
		{"dd.mm.yy", "05.06.24", "2024-06-05", -1, ""},
		{"dd.mm.yy", "05.06.69", "2069-06-05", -1, ""},
		{"dd.mm.yy", "05.06.70", "1970-06-05", -1, ""},
		{"dd.mm.yy", "05.06.2024", "", 0, UnreadableDate},
		{"yyyymmdd", "20240605", "2024-06-05", -1, ""},
		{"yyyymmdd", "202406051", "", 0, UnreadableDate},
		// Day numbers: 45448 is 2024-06-05 in the 1900 system, 1462 less in the
		// 1904 system (ECMA-376 part 1, 18.17.4.1, from memory).
		{"day number 1900", "45448", "2024-06-05", -1, ""},
		{"day number 1900", "45448.5", "2024-06-05", 720, ""},
		{"day number 1900", "45448.99999", "2024-06-05", 1439, ""},
		{"day number 1904", "43986", "2024-06-05", -1, ""},
		{"day number 1904", "0", "1904-01-01", -1, ""},
		{"day number 1900", "1", "1900-01-01", -1, ""},
		{"day number 1900", "59", "1900-02-28", -1, ""},
		{"day number 1900", "61", "1900-03-01", -1, ""},
		{"day number 1900", "60", "", 0, ImpossibleDate},
		{"day number 1900", "0", "", 0, ImpossibleDate},
		{"day number 1900", "-5", "", 0, ImpossibleDate},
		{"day number 1900", "9999999", "", 0, ImpossibleDate},
		{"day number 1900", "2024-06-05", "", 0, UnreadableDate},
		{"day number 1900", "4.5448E4", "", 0, UnreadableDate},
	} {
		d, err := NewDays(c.pattern, 1970)
		require.NoError(t, err)
		day, minute, f := d.Parse(c.text)
		if c.reason != "" {
			if assert.NotNil(t, f, "%q as %s", c.text, c.pattern) {
				assert.Equal(t, c.reason, f.Reason, "%q as %s: %s", c.text, c.pattern, f.Message)
			}
			continue
		}
		if assert.Nil(t, f, "%q as %s", c.text, c.pattern) {
			assert.Equal(t, dayOf(t, c.day), day, "%q as %s", c.text, c.pattern)
			assert.Equal(t, c.minute, minute, "%q as %s", c.text, c.pattern)
		}
	}
}

func TestPatterns(t *testing.T) {
	for _, p := range []string{
		"", "yyyy-dd", "mm", "yyy-mm-dd", "yyyy-mm-dd-dd", "yyyy-MM-dd", "ymd", "yyyymd", "yyyy-mm-dd hh", "day number",
		"9yyyy-mm-dd",
	} {
		_, err := NewDays(p, 1970)
		assert.Error(t, err, "%q", p)
	}
	_, err := NewDays("dd.mm.yy", 0)
	assert.ErrorContains(t, err, "century")
}

func TestExchanged(t *testing.T) {
	for p, want := range map[string]string{
		"dd/mm/yyyy": "mm/dd/yyyy", "mm/dd/yyyy": "dd/mm/yyyy", "d.m.yyyy": "m.d.yyyy", "yyyy-mm-dd": "",
		"day number 1900": "",
	} {
		d, err := NewDays(p, 0)
		require.NoError(t, err)
		x, ok := d.Exchanged()
		assert.Equal(t, want != "", ok, p)
		assert.Equal(t, want, x.Pattern(), p)
	}
}

func TestFindInName(t *testing.T) {
	for _, c := range []struct{ pattern, name, want string }{
		{"yyyy-mm-dd", "north_readings_2024-03-01.csv", "2024-03-01"},
		{"yyyy-mm-dd", "units 2024-03-01 (2).csv", "2024-03-01"},
		{"yyyymmdd", "tests_20240301.xlsx", "2024-03-01"},
		{"yyyymmdd", "tests_0020240301.xlsx", ""},
		{"yyyymmdd", "tests_202403011.xlsx", ""},
		{"dd-mm-yyyy", "releves_07-01-2015.csv", "2015-01-07"},
		{"dd-mm-yyyy", "releves_2015-01-07.csv", ""},
		{"yyyy-mm-dd", "v2_2024-13-01_2024-03-02.csv", "2024-03-02"},
		{"yyyy-mm-dd", "units.csv", ""},
	} {
		d, err := NewDays(c.pattern, 0)
		require.NoError(t, err)
		day, ok := d.Find(c.name)
		assert.Equal(t, c.want != "", ok, c.name)
		if ok {
			assert.Equal(t, dayOf(t, c.want), day, c.name)
		}
	}
}

func TestTime(t *testing.T) {
	for text, want := range map[string]int16{"07:30": 450, "7:30": 450, "00:00": 0, "23:59:59": 1439, "12:00 PM": 720, "1:05pm": 785} {
		got, f := Time(text)
		if assert.Nil(t, f, text) {
			assert.Equal(t, want, got, text)
		}
	}
	for _, text := range []string{"24:00", "7", "730", "07:60", "7.30", "morning", "", "07:3"} {
		_, f := Time(text)
		assert.NotNil(t, f, text)
	}
}

// TestZoneMakesNoDifference: a day is the day as written, wherever the machine
// stands. The zones lie on both sides of UTC.
func TestZoneMakesNoDifference(t *testing.T) {
	was := time.Local
	defer func() { time.Local = was }()
	d, err := NewDays("yyyy-mm-dd", 0)
	require.NoError(t, err)
	for _, zone := range []string{"Asia/Tokyo", "America/New_York", "UTC"} {
		loc, err := time.LoadLocation(zone)
		if err != nil && os.Getenv("CI") == "" {
			t.Skip("no zone data on this machine")
		}
		require.NoError(t, err)
		time.Local = loc
		for _, text := range []string{"2024-06-05 00:00:00", "2024-06-05T23:30:00-04:00", "2024-06-05T00:30:00Z"} {
			day, _, f := d.Parse(text)
			require.Nil(t, f)
			assert.Equal(t, dayOf(t, "2024-06-05"), day, "%s in %s", text, zone)
		}
	}
}

// FuzzDay: no panic, and a day written back reads as the same day.
func FuzzDay(f *testing.F) {
	for _, s := range []string{"2024-06-05", "03/04/2024", "45448.5", "2024-06-05T23:30:00-04:00", "29/02/2023", "5.6.24", "60"} {
		f.Add(s)
	}
	var patterns []Days
	for _, p := range []string{"yyyy-mm-dd", "dd/mm/yyyy", "m/d/yyyy", "dd.mm.yy", "yyyymmdd", "day number 1900", "day number 1904"} {
		d, err := NewDays(p, 1970)
		require.NoError(f, err)
		patterns = append(patterns, d)
	}
	f.Fuzz(func(t *testing.T, s string) {
		_, _ = Time(s)
		for _, d := range patterns {
			day, _, fault := d.Parse(s)
			if fault != nil {
				continue
			}
			again, _, fault := d.Parse(d.Format(day))
			if fault != nil || again != day {
				t.Fatalf("%q as %s: day %d written %q came back as %d", s, d.Pattern(), day, d.Format(day), again)
			}
			_, _ = d.Find(s)
		}
	})
}
