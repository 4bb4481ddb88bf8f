package parse

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	calendar "fluedrift/model/day"
)

// Names of months as people write them, in full and cut short, in the languages that
// are declared, and in no other. "ma" and "juil" differ by language; a cut that could be
// two months is none.
func TestMonthsByLanguage(t *testing.T) {
	for _, c := range []struct{ language, text, want string }{
		{"de", "4. März 2021", "2021-03-04"},
		{"de", "4. Mrz. 2021", "2021-03-04"},
		{"de", "4. maerz 2021", "2021-03-04"},
		{"de", "31. DEZEMBER 2021", "2021-12-31"},
		{"de", "4. Mar 2021", "2021-03-04"},
		{"de", "4. mai 2021", "2021-05-04"},
		{"de", "4. Oct 2021", ""},
		{"fr", "1er févr. 2021", "2021-02-01"},
		{"fr", "2 août 2021", "2021-08-02"},
		{"fr", "2 juil. 2021", "2021-07-02"},
		{"fr", "2 jui 2021", ""}, // juin or juillet
		{"es", "3 ene 2021", "2021-01-03"},
		{"es", "3 setiembre 2021", "2021-09-03"},
		{"nl", "3 mrt 2021", "2021-03-03"},
		{"it", "3 gen 2021", "2021-01-03"},
		{"it", "3 mag 2021", "2021-05-03"},
		{"en", "3rd March 2021 1:30 p.m.", "2021-03-03"},
		{"en", "3rd März 2021", ""},
		{"en", "31st Feb 2021", ""},
	} {
		d, err := NewDays("do mmm yyyy", 0)
		require.NoError(t, err)
		got, minute, f := d.Named(c.language).Parse(c.text)
		if c.want == "" {
			assert.NotNil(t, f, "%s %q", c.language, c.text)
			continue
		}
		if assert.Nil(t, f, "%s %q: %v", c.language, c.text, f) {
			assert.Equal(t, c.want, got.Time().Format("2006-01-02"), "%s %q", c.language, c.text)
		}
		assert.Equal(t, c.text[len(c.text)-1] == '.' && c.language == "en", minute == 13*60+30, c.text)
	}
}

// Every day, written back in every language, reads as itself.
func TestMonthsThereAndBack(t *testing.T) {
	for _, language := range Languages() {
		for _, pattern := range []string{"d mmm yyyy", "mmm do, yyyy", "unix seconds", "unix milliseconds"} {
			d, err := NewDays(pattern, 0)
			require.NoError(t, err)
			d = d.Named(language).In(time.FixedZone("here", -7*3600))
			for day := calendar.Of(2019, time.December, 31); day < calendar.Of(2021, time.January, 2); day++ {
				again, _, f := d.Parse(d.Format(day))
				require.Nil(t, f, "%s %s: %q %v", language, pattern, d.Format(day), f)
				require.Equal(t, day, again, "%s %s: %q", language, pattern, d.Format(day))
			}
		}
	}
}

// A month or a year alone stands for the day in the middle, and says so; a way of writing
// whole days takes none of them.
func TestPrecision(t *testing.T) {
	d, err := NewDaysIn([]string{"mm/dd/yyyy", "mm/yyyy", "yyyy"}, 0)
	require.NoError(t, err)
	for text, want := range map[string]struct {
		day   string
		p     Precision
		first string
	}{
		"11/10/2018": {"2018-11-10", ToDay, "2018-11-10"},
		"11/2018":    {"2018-11-16", ToMonth, "2018-11-01"},
		"2018":       {"2018-07-02", ToYear, "2018-01-01"},
	} {
		day, _, p, f := d.ParseTo(text)
		require.Nil(t, f, text)
		assert.Equal(t, want.day, day.Time().Format("2006-01-02"), text)
		assert.Equal(t, want.p, p, text)
		assert.Equal(t, want.first, p.First(day).Time().Format("2006-01-02"), text)
	}
	for _, text := range []string{"2018 10:30", "13/2018", "11/18", "20180", "1850"} {
		_, _, f := d.Parse(text)
		assert.NotNil(t, f, text)
	}
}

// Counts since 1970 are days of the zone. 1,700,000,000 s is 14 November 2023, 22:13:20
// UTC (the arithmetic of POSIX.1, Seconds Since the Epoch).
func TestStamps(t *testing.T) {
	for _, c := range []struct {
		pattern, text string
		hours         int
		day           string
		minute        int16
	}{
		{"unix seconds", "1700000000", 0, "2023-11-14", 22*60 + 13},
		{"unix seconds", "1700000000", 2, "2023-11-15", 13},
		{"unix milliseconds", "1700000000999", -8, "2023-11-14", 14*60 + 13},
	} {
		d, err := NewDays(c.pattern, 0)
		require.NoError(t, err)
		day, minute, f := d.In(time.FixedZone("there", c.hours*3600)).Parse(c.text)
		require.Nil(t, f)
		assert.Equal(t, c.day, day.Time().Format("2006-01-02"))
		assert.Equal(t, c.minute, minute)
	}
	d, _ := NewDays("unix seconds", 0)
	for _, text := range []string{"", "-1", "1.7E9", "1700000000999", "2023-11-14", "soon"} {
		_, _, f := d.Parse(text)
		assert.NotNil(t, f, text)
	}
}

// FuzzMonths: no panic, and a day that is read, written back, reads the same.
func FuzzMonths(f *testing.F) {
	for _, s := range []string{"1er août 2021", "4. Mrz. 2021", "3rd March 2021", "2 jui 2021", "3 \xff 2021", "31 sept 2020"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, language := range Languages() {
			for _, pattern := range []string{"do mmm yyyy", "mmm yyyy"} {
				d, _ := NewDays(pattern, 0)
				d = d.Named(language)
				day, _, p, wrong := d.ParseTo(s)
				if wrong != nil {
					continue
				}
				if again, _, q, wrong := d.ParseTo(d.Format(day)); wrong != nil || again != day || p != q {
					t.Fatalf("%s %q: %v written %q", language, s, day, d.Format(day))
				}
			}
		}
	})
}
