package night

import (
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/settings"
)

// Where no file to mend holds a line, the list says where to correct it and why.
func TestLinesThatAreNotOffered(t *testing.T) {
	for name, c := range map[string]struct{ file, layout, text, want string }{
		"Parquet":          {"readings_2025-03-01.parquet", "parquet", "PAR1", "file of type parquet is made"},
		"computed header":  {"readings_2025-03-01.csv", "csv", "=Call,Boiler\nC1,00417\n", "name of the header"},
		"offered":          {"readings_2025-03-01.csv", "csv", "Call,Boiler\nC1,00417\n", "readings_2025-03-03_to-fix.csv:2"},
		"workbook, broken": {"readings_2025-03-01.xlsx", "xlsx", "no zip", "cannot be copied"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			require.NoError(t, os.CopyFS(dir, os.DirFS("../testdata/small")))
			path := filepath.Join(dir, "layouts", "readings.toml")
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			changed := strings.Replace(string(text), `type  = "csv"`, fmt.Sprintf("type = %q", c.layout), 1)
			if c.layout != "csv" {
				changed = strings.Replace(changed, "dates = \"yyyy-mm-dd\"\n", "", 1)
			}
			changed = strings.Replace(changed, "readings_*.csv", "readings_*."+c.layout, 1)
			require.NoError(t, os.WriteFile(path, []byte(changed), 0o600))
			require.NoError(t, os.WriteFile(filepath.Join(dir, "exports", c.file), []byte(c.text), 0o600))
			cfg, err := settings.Read(filepath.Join(dir, "fluedrift.toml"))
			require.NoError(t, err)
			day, err := settings.DayOf("2025-03-03")
			require.NoError(t, err)
			e := &evidence{Config: cfg, asOf: day, inputs: []Input{{
				Name: c.file, Layout: "depot readings", Outcome: "read",
				Digest: settings.DigestOf([]byte(c.text)),
			}}}
			fixes := []watch.Fix{{File: c.file, Line: 2, Reason: "unreadable-number"}, {Reason: "no-target"}}
			_, err = mendsOf(e, fixes, nil, slog.New(slog.DiscardHandler))
			require.NoError(t, err)
			require.Contains(t, fixes[0].MendIn, c.want)
			require.Empty(t, fixes[1].MendIn)
		})
	}
}
