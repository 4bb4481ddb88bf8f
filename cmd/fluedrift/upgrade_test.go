package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/day"
)

// publishedBy makes the small fleet with a publication of 2025-03-02, the day
// before its own, as version 0.1.0 left it (testdata/published: its run record
// and watchlist). spoil may change the record.
func publishedBy(t *testing.T, spoil func(r map[string]any)) (dir, config string) {
	t.Helper()
	dir = fastDir(t)
	require.NoError(t, copyTree("testdata/small", dir))
	folder := filepath.Join(dir, "lists", "2025-03-02.1")
	require.NoError(t, copyTree("testdata/published/0.1.0", folder))
	require.NoError(t, os.Symlink("2025-03-02.1", filepath.Join(dir, "lists", "2025-03-02")))
	require.NoError(t, os.Symlink("2025-03-02", filepath.Join(dir, "lists", "latest")))
	if spoil != nil {
		path := filepath.Join(folder, "run.json")
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		var r map[string]any
		require.NoError(t, json.Unmarshal(text, &r))
		spoil(r)
		text, err = json.Marshal(r)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(path, text, 0o644))
	}
	return dir, filepath.Join(dir, "fluedrift.toml")
}

// The first night of this version reads the publication of the one before: it
// compares with it and says nothing.
func TestUpgradeComparesWithThePreviousSchema(t *testing.T) {
	t.Parallel()
	dir, config := publishedBy(t, nil)
	code, errs := nightHere(config, testNow)
	require.Zero(t, code, errs)
	text, err := os.ReadFile(filepath.Join(dir, "lists", "latest", "run.json"))
	require.NoError(t, err)
	var r night.Record
	require.NoError(t, json.Unmarshal(text, &r))
	require.Equal(t, "2025-03-02", r.Previous)
	require.Equal(t, table.Schema, r.Schema)
	changed, err := os.ReadFile(filepath.Join(dir, "lists", "latest", "changed.json"))
	require.NoError(t, err)
	require.Contains(t, string(changed), "2 Mar 2025")
	require.NotContains(t, string(changed), `"00417"`, "no unit is new")

	// The guards see what the version before had read.
	aWholeNight(t)
	require.NoError(t, os.Remove(filepath.Join(dir, "exports", "readings_2025-03-01.csv")))
	code, errs = nightHere(config, testNow)
	require.Equal(t, exitRefused, code, errs)
}

// Every schema that is read has its publication here. Its lines are read back, and
// the column that once held two probabilities is not shown as today's.
func TestPublishedSchemasAreRead(t *testing.T) {
	t.Parallel()
	for schema, folder := range map[int]string{1: "0.1.0", 2: "schema-2", 3: "schema-3"} {
		f, err := os.Open(filepath.Join("testdata/published", folder, "watchlist.json"))
		require.NoError(t, err)
		list, err := lists.Read(f)
		require.NoError(t, err)
		require.NoError(t, f.Close())
		lines := lists.EarlierLines(list, watch.Config{})
		require.Len(t, lines, 3, folder)
		require.Equal(t, watch.GoToday, lines[0].Group, folder)
		require.Equal(t, 1, lines[0].Rank, folder)
		require.Equal(t, day.Of(2024, time.March, 5), lines[0].LastVisit, folder)
		require.Equal(t, schema < 3, math.IsNaN(lines[0].OutProbability), folder)
		var text bytes.Buffer
		require.NoError(t, table.WriteText(&text, list))
		require.Equal(t, schema < 3, strings.Contains(text.String(), "out, today or at worst"), folder)
		require.NotEqual(t, schema < 3, strings.Contains(text.String(), "out today"), folder)

		record, err := os.ReadFile(filepath.Join("testdata/published", folder, "run.json"))
		require.NoError(t, err)
		var r night.Record
		require.NoError(t, json.Unmarshal(record, &r))
		require.Equal(t, schema, max(r.Schema, 1), folder)
	}
	require.Equal(t, 1, table.OldestSchema)
	require.Equal(t, 4, table.Schema, "keep a publication of the schema before")
}

// A publication of a schema this program does not read, of a version long ago or
// one put back since, means something else with the same words: it stops no
// night, is said, and is compared with nothing.
func TestPublicationOfAnotherSchemaIsNotCompared(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir, config := publishedBy(t, func(r map[string]any) {
		r["schema"] = 99
		r["inputs"] = []any{map[string]any{"name": "all.csv", "outcome": "read"}}
	})
	for _, args := range [][]string{{"list"}, {"list", "-as-of", "2025-03-02"}} {
		spoilList(t, filepath.Join(dir, "lists", "2025-03-02.1", "watchlist.json"))
		var out, errs bytes.Buffer
		require.Equal(t, exitNoWarehouse, run(t.Context(), append(args, "-config", config), quietStreams(&out, &errs)), args)
		require.Contains(t, errs.String(), "made by another version of the program: of schema 99")
		require.Contains(t, errs.String(), "make it again with: fluedrift nightly")
	}
	code, errs := nightHere(config, testNow)
	require.Equal(t, exitLook, code, errs)
	require.Contains(t, errs,
		"publication 2025-03-02: made by another version of the program: of schema 99, this one reads schemas 1 to 4; tonight is compared "+
			"with no earlier one")
	require.Contains(t, runCommand(t, 0, "list", "-config", config), "00417", "the remedy works")
	if !long() {
		return
	}
	code, errs = nightHere(config, testNow)
	require.Equal(t, exitDone, code, "once: from then on there is one to compare with: %s", errs)
}

// spoilList gives a list in JSON a schema of its own.
func spoilList(t *testing.T, path string) {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	var l map[string]any
	require.NoError(t, json.Unmarshal(text, &l))
	l["schema"] = 99
	text, err = json.Marshal(l)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, text, 0o644))
}

// The version is what the build says: a packager's stamp, else the release with
// the commit, as build metadata of SemVer 2.0.0 (section 10), and no list holds it.
func TestVersionComesFromTheBuild(t *testing.T) {
	t.Parallel()
	info := &debug.BuildInfo{Settings: []debug.BuildSetting{
		{Key: "vcs.revision", Value: "0123456789abcdef0123"},
		{Key: "vcs.modified", Value: "true"},
	}}
	require.Equal(t, "0.2.0+0123456789ab.modified", versionOf("0.2.0", info))
	info.Settings[1].Value = "false"
	require.Equal(t, "0.2.0+0123456789ab", versionOf("0.2.0", info))
	require.Equal(t, "0.2.0", versionOf("0.2.0", &debug.BuildInfo{}))
	require.Equal(t, "0.2.0", versionOf("0.2.0", nil))
	text := runCommand(t, 0, "version")
	require.True(t, strings.HasPrefix(text, "fluedrift "+settings.Releases[0].Version), text)
}
