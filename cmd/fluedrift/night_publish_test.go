package main

import (
	"bufio"
	"bytes"
	"database/sql"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"fluedrift/cmd/fluedrift/publish"

	"github.com/stretchr/testify/require"
)

// traceNight runs a night here and returns its file operations with the picture
// of the disk before them.
func traceNight(t *testing.T, config, asOf string, move bool) (ops []publish.Op, model func() *crashModel, warehouse string) {
	var out, errs bytes.Buffer
	c := &call{streams: quietStreams(&out, &errs)}
	c.config, c.asOf, c.publish = config, asOf, move
	n, err := nightOf(c)
	require.NoError(t, err)
	dir := filepath.Dir(config)
	before := filepath.Join(fastDir(t), "before")
	const store = "warehouse.duckdb"
	c.trace = func(op publish.Op) {
		if op.In == publish.InStore && op.Path == store+".new" && (op.Do == "write" || op.Do == "remove") {
			return // the probe: made and gone before the warehouse is opened
		}
		if ops == nil {
			require.NoError(t, os.CopyFS(before, os.DirFS(filepath.Join(dir, "lists"))))
		}
		ops = append(ops, op)
	}
	_, none := os.Stat(filepath.Join(dir, store))
	_, err = n.Run(t.Context())
	require.NoError(t, err, errs.String())
	return ops, func() *crashModel {
		folder := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(folder, store+".new"), []byte("new warehouse"), 0o600))
		if none == nil {
			require.NoError(t, os.WriteFile(filepath.Join(folder, store), []byte("old warehouse"), 0o600))
			require.NoError(t, os.WriteFile(filepath.Join(folder, store+".wal"), []byte("log of the old warehouse"), 0o600))
		}
		m := newCrashModel(t, before, folder)
		_, id := find(m.base, 2, store+".new")
		m.base[id].torn, m.live[id].torn = true, true // its bytes are certain once it is synced
		m.changes = append(m.changes, change{op: -1, durable: certain, file: id})
		return m
	}, store
}

// Whatever a power cut leaves of the operations of a night, a reader finds the
// old set or the new set, whole: for a first publication, a further day, a
// repeat of a day, one beside the newest, and one that retires old days. A log of a killed session lies
// beside the old warehouse: it never comes to lie beside the new one.
func TestPowerCutLeavesOldOrNew(t *testing.T) {
	aWholeNight(t) // nights are killed in the normal suite
	t.Parallel()
	dir := fastDir(t)
	config := filepath.Join(dir, "fluedrift.toml")
	if long() {
		thirtyUnits(t, dir)
	} else {
		require.NoError(t, copyTree("testdata/small", dir))
	}
	withOutput(t, config, "keep_days = 4\nkeep_count = 2")
	disks := 0
	for _, asOf := range []string{"2026-03-01", "2026-03-02", "2026-03-02", "2026-03-03", "2026-02-27", "2026-03-06"} {
		if asOf == "2026-03-02" && !long() {
			continue
		}
		ops, model, warehouse := traceNight(t, config, asOf, asOf != "2026-02-27")
		m := model()
		for i, op := range ops {
			m.record(i, op)
		}
		looked, err := m.cuts(ops, warehouse)
		require.NoError(t, err, "as of %s", asOf)
		disks += looked
		switch asOf {
		case "2026-03-03":
			needed := neededSyncs(ops, model, warehouse)
			require.Contains(t, needed, "sync "+publish.StageName)
			require.Contains(t, needed, "sync .writing/watchlist.csv")
			require.Contains(t, needed, "sync .writing/run.json")
			require.Contains(t, needed, "sync warehouse.duckdb.new")
			require.Contains(t, needed, "sync . of lists after rename .2026-03-03.new")
			require.Contains(t, needed, "sync . of store after remove warehouse.duckdb.tmp")
		case "2026-02-27": // beside the newest
			require.False(t, slices.ContainsFunc(ops, func(op publish.Op) bool {
				return op.In == publish.InStore || op.Path == "latest" ||
					op.To == "latest"
			}))
			require.FileExists(t, filepath.Join(dir, "lists", "2026-02-27", "run.json"))
		case "2026-03-06":
			require.True(t, slices.ContainsFunc(ops, func(op publish.Op) bool { return op.Do == "remove" && op.Path == "2026-03-01" }),
				"nothing was retired")
			require.NoDirExists(t, filepath.Join(dir, "lists", "2026-03-01.1"))
			require.FileExists(t, filepath.Join(dir, "lists", "2026-03-03", "run.json"))
		}
	}
	t.Logf("%d disks looked at", disks)
	require.Greater(t, disks, suite(300, 500))
}

// neededSyncs leaves each sync out in turn and lists those whose loss the model
// notices. It is the proof that the model can fail.
func neededSyncs(ops []publish.Op, model func() *crashModel, warehouse string) (needed []string) {
	for out, op := range ops {
		if op.Do != "sync" {
			continue
		}
		m := model()
		for i, op := range ops {
			if i != out {
				m.record(i, op)
			}
		}
		if _, err := m.cuts(ops, warehouse); err != nil {
			name := "sync " + op.Path
			if op.Path == "." {
				name += fmt.Sprintf(" of %s after %s %s", op.In, ops[out-1].Do, ops[out-1].Path)
			}
			needed = append(needed, name)
		}
	}
	return needed
}

// A night that stopped after any of its operations is cleared up by the next,
// which publishes the same bytes.
func TestNextNightClearsUp(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := fastDir(t)
	config := thirtyUnits(t, dir)
	ops, _, _ := traceNight(t, config, "2026-03-02", true)
	want := publishedFiles(t, dir)
	var moments []int
	for i, op := range ops {
		if long() || op.Do == "link" && op.Path == ".latest.new" {
			moments = append(moments, i)
		}
	}
	for _, k := range moments {
		again := fastDir(t)
		config := thirtyUnits(t, again)
		store := filepath.Join(again, "warehouse.duckdb.new")
		require.NoError(t, os.WriteFile(store, []byte("half a warehouse"), 0o600))
		require.NoError(t, os.WriteFile(filepath.Join(again, "warehouse.duckdb.lock"), []byte("process 1\n"), 0o600))
		d, err := publish.OpenDisk(filepath.Join(again, "lists"), again, false)
		require.NoError(t, err)
		require.NoError(t, d.All(ops[:k+1]))
		d.Close()
		code, errs := nightHere(config, testNow)
		require.Zero(t, code, errs)
		samePublished(t, want, publishedFiles(t, again), fmt.Sprintf("after operation %d, %s %s", k, ops[k].Do, ops[k].Path))
		nothingTemporary(t, again)
	}
}

// The lists folder is written through a root: a link that leads out of it is
// neither followed nor written through.
func TestLinksOutOfTheListsAreNotFollowed(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := smallFolder(t)
	config := filepath.Join(dir, "fluedrift.toml")
	elsewhere := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "lists"), 0o755))
	require.NoError(t, os.Symlink(elsewhere, filepath.Join(dir, "lists", publish.StageName)))
	require.NoError(t, os.Symlink(elsewhere, filepath.Join(dir, "lists", "2025-03-03")))
	code, errs := nightHere(config, testNow)
	require.Contains(t, []int{0, 10}, code, errs)
	entries, err := os.ReadDir(elsewhere)
	require.NoError(t, err)
	require.Empty(t, entries)
	target, err := os.Readlink(filepath.Join(dir, "lists", "2025-03-03"))
	require.NoError(t, err)
	require.Equal(t, "2025-03-03.1", target)
}

// A publication that does not read back as written is never pointed to.
func TestPublicationIsReadBack(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := afterNight(t, smallNight)
	config := filepath.Join(dir, "fluedrift.toml")
	var out, e bytes.Buffer
	c := &call{streams: quietStreams(&out, &e)}
	c.config, c.asOf = config, "2025-03-04"
	n, err := nightOf(c)
	require.NoError(t, err)
	c.trace = func(op publish.Op) { // the disk loses a byte behind the program's back
		if op.Do == "rename" && op.Path == publish.StageName {
			at := filepath.Join(dir, "lists", publish.StageName, "watchlist.csv")
			text, err := os.ReadFile(at)
			require.NoError(t, err)
			text[len(text)/2] ^= 1
			require.NoError(t, os.WriteFile(at, text, 0o600))
		}
	}
	_, err = n.Run(t.Context())
	require.ErrorContains(t, err, "does not read back as written: watchlist.csv")
	target, err := os.Readlink(filepath.Join(dir, "lists", "latest"))
	require.NoError(t, err)
	require.Equal(t, "2025-03-03", target)
	nothingTemporary(t, dir)

	// A publication that was damaged later is passed over, and said so.
	require.NoError(t, os.WriteFile(filepath.Join(dir, "lists", "2025-03-03", "co.csv"), []byte("x"), 0o600))
	code, errs := nightHere(config, testNow, "-as-of", "2025-03-04")
	require.Equal(t, 10, code)
	require.Contains(t, errs, "passed over: publication 2025-03-03: co.csv holds other bytes")
}

// The log that a killed session left beside the warehouse goes with the next
// night, as the message says, or build, and comes into no later warehouse.
func TestLogOfAKilledSession(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := afterNight(t, smallNight)
	config, warehouse := filepath.Join(dir, "fluedrift.toml"), filepath.Join(dir, "warehouse.duckdb")
	for _, mend := range [][]string{{"nightly"}, {"build", "-o", warehouse}}[:suite(1, 2)] {
		c := exec.Command("engineer", warehouse)
		out, err := c.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, c.Start())
		line, err := bufio.NewReader(out).ReadString('\n')
		require.NoError(t, err)
		require.Equal(t, "written\n", line)
		require.NoError(t, c.Process.Kill())
		c.Wait()
		require.FileExists(t, warehouse+".wal")

		var printed, errs bytes.Buffer
		require.Equal(t, exitNoWarehouse, run(t.Context(), []string{"unit", "-config", config, "00417"}, quietStreams(&printed, &errs)))
		require.Contains(t, errs.String(), "a log lies beside it")
		require.Contains(t, errs.String(), "fluedrift nightly")
		runCommand(t, exitDone, append(mend, "-config", config)...)
		require.NoFileExists(t, warehouse+".wal")
		require.Contains(t, runCommand(t, exitDone, "query", "-config", config, "-e", "select serial from joined.units"), "00417")

		db, err := sql.Open("duckdb", warehouse)
		require.NoError(t, err)
		var notes int
		require.NoError(t, db.QueryRow("select count(*) from duckdb_tables() where table_name = 'notes'").Scan(&notes))
		require.Zero(t, notes, "the log was played into the new warehouse")
		require.NoError(t, db.Close())
	}
}
