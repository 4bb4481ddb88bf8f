package ingest

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/ingest/layout"
)

// The zone of counts since 1970 is asked, and any that the IANA database has is an
// answer. 1,700,000,000 s is 14 November 2023, 22:13:20 UTC (the arithmetic of POSIX.1,
// Seconds Since the Epoch), which is the day after where clocks are ten hours ahead.
func TestZonesAreAsked(t *testing.T) {
	text := asLines("Boiler,Date,Fire,Condition,CO2", "K-1,1700000000,high,as found,9.1", "K-1,1710000000,high,as found,9.1")
	for _, c := range []struct{ answer, zone, wrong, day string }{
		{"", "UTC", "", "2023-11-14"},
		{"Etc/GMT-10", "Etc/GMT-10", "", "2023-11-15"},
		{"Middle/Earth", "UTC", "Middle/Earth", "2023-11-14"},
		{"Local", "UTC", "Local", "2023-11-14"},
	} {
		all, err := Propose(context.Background(), folder(t, map[string]string{"x.csv": text}), nil,
			func(_, key string) string { return map[string]string{"time zone": c.answer}[key] })
		require.NoError(t, err)
		require.NotEmpty(t, all[0].Questions)
		q := all[0].Questions[0]
		assert.Equal(t, "time zone", q.Key)
		assert.Equal(t, "UTC", q.Guess)
		assert.Equal(t, 2, q.Cost)
		assert.Equal(t, c.wrong, q.Wrong)
		assert.Equal(t, c.answer != "" && c.wrong == "", q.Answered)
		assert.Equal(t, []string{`column "Date": the first, 1700000000 (x.csv:2), is 2023-11-14 22:13 in UTC`}, q.Evidence)
		assert.Contains(t, all[0].Text, `zone = "`+c.zone+`"`)
		_, w := readInto(t, folder(t, map[string]string{"x.csv": text, "x.toml": all[0].Text}))
		assert.Equal(t, c.day, w["record.visits"][0]["day"], c.answer)
	}
}

// A layout that names the zone of the machine would make other days on another one.
func TestLayoutsNameNoLocalZone(t *testing.T) {
	text := "name = \"b\"\nrecord = \"units\"\nsource = \"b\"\n[match]\nnames = [\"b.csv\"]\n[file]\ndates = \"unix seconds\"\n" +
		"zone = \"UTC\"\n" +
		"[export_day]\nfrom = \"unknown\"\n[[column]]\nheader = \"Boiler\"\nfield = \"serial\"\n" +
		"[[column]]\nheader = \"Installed\"\nfield = \"installed\"\n"
	_, err := layout.Parse("b.toml", text)
	require.NoError(t, err)
	_, err = layout.Parse("b.toml", strings.Replace(text, `"UTC"`, `"Local"`, 1))
	assert.ErrorContains(t, err, `zone "Local" is none of the zones of the IANA database`)
}
