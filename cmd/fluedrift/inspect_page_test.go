package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/ingest/layout"
)

// A page says of each file what its columns are taken for and how its first rows are
// stored, whether a layout reads it or not, and shows texts of exports as texts.
func TestInspectAsAPage(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "exports"), 0o755))
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "layouts"), 0o755))
	write := func(name, text string) string {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
		return path
	}
	wide := layout.Examples()[1]
	write("layouts/wide.toml", wide.Layout)
	known := write("exports/"+wide.Named, wide.File)
	config := write("fluedrift.toml", "[exports]\nfolder = \"exports\"\nlayouts = \"layouts\"\n")
	bare := write("new.csv",
		"Boiler,Date,High fire CO2 % as found,Low fire CO2 % as found,<script>x</script>\nK1,2024-03-25,9.1,8.4,<b>odd</b>\n"+
			"K2,2024-03-26,9.2,8.6,\n")
	var out, errs bytes.Buffer
	require.Zero(t, run(context.Background(), []string{"inspect", "-config", config, "-format", "html", known, bare},
		quietStreams(&out, &errs)), errs.String())
	page := out.String()
	for _, said := range []string{
		"2 files were inspected", ">new.csv<", "not read, no-layout", "&lt;script&gt;x&lt;/script&gt;", "&lt;b&gt;odd&lt;/b&gt;",
		"co2 high as found in %",
		"filled cells can be read so", ">" + wide.Named + "<", "read; layout", "<td class=\"sure\">declared", "2 of 2 lines accepted",
		"The first rows of " + wide.Named, "The first rows of new.csv", "<td class=cell>9.1 %", "<td class=cell>2024-03-25",
	} {
		require.Contains(t, page, said)
	}
	for _, never := range []string{"<script", "<b>odd", "http://", "https://", "@import", "url("} {
		require.NotContains(t, page, never)
	}
	out.Reset()
	require.Zero(t, run(context.Background(), []string{"inspect", "-format", "html", bare}, quietStreams(&out, &errs)), errs.String())
	require.Contains(t, out.String(), "<title>Inspected: new.csv")
}
