package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The zone of counts since 1970 is asked once for all files that have them, at a terminal
// until it is one. 1,700,000,000 s is 14 November 2023, 22:13:20 UTC (POSIX.1, Seconds
// Since the Epoch), the day after where clocks are ten hours ahead.
func TestStartAsksTheZone(t *testing.T) {
	exports, dir := office(t)
	for name, text := range map[string]string{
		"app.csv":    "Boiler,Date,Fire,Condition,CO2\nK-1,1700000000,high,as found,9.1\n",
		"tablet.csv": "Boiler,Tested on,Fire,Condition,CO2\nK-1,1700000000000,high,as found,9.1\n",
	} {
		require.NoError(t, os.WriteFile(filepath.Join(exports, name), []byte(text), 0o600))
	}
	screen := atTerminal(t, exports, dir, "9.2", "8.8", "half past", "Etc/GMT-10", "same", "", "")
	require.Equal(t, 1, strings.Count(screen, "In which time zone are the boilers?"), screen)
	for _, said := range []string{
		`column "Date": the first, 1700000000 (app.csv:2), is 2023-11-14 22:13 in UTC`,
		`zone "half past" is none of the zones of the IANA database`, "tablet.csv: time zone (return: UTC; same: Etc/GMT-10) > ",
	} {
		require.Contains(t, strings.Join(strings.Fields(screen), " "), said)
	}
	for _, name := range []string{"app.toml", "tablet.toml"} {
		require.Contains(t, readText(t, dir, "layouts", name), `zone = "Etc/GMT-10"`)
	}

	path := filepath.Join(dir, decisionsName)
	answers := strings.Replace(readText(t, path), `"app.csv: time zone" = "Etc/GMT-10"`, `"app.csv: time zone" = "here"`, 1)
	require.NoError(t, os.WriteFile(path, []byte(answers), 0o600))
	for _, format := range []string{"text", "html"} {
		var out, errs bytes.Buffer
		args := []string{"start", "-dir", dir, "-format", format, exports}
		require.Equal(t, exitDone, run(context.Background(), args, quietStreams(&out, &errs)), errs.String())
		said := strings.Join(strings.Fields(strings.ReplaceAll(out.String(), "&#34;", `"`)), " ")
		require.Contains(t, said, `zone "here" is none of the zones of the IANA database`, format)
		require.Contains(t, said, "Until it is answered: UTC.", format)
	}
}
