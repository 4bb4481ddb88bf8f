package main

import (
	"bufio"
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fluedrift/cmd/fluedrift/publish"

	"github.com/stretchr/testify/require"
)

// ran runs a command line here and returns its exit code and error stream.
func ran(t *testing.T, args ...string) (code int, said string) {
	t.Helper()
	var out, errs bytes.Buffer
	code = run(t.Context(), args, quietStreams(&out, &errs))
	return code, errs.String()
}

// oneCrew are the keys without which days has nothing to plan with.
const oneCrew = "[crews]\nweeks = 2\nleast_days = 0.1\n[[crews.crew]]\ncode = \"van 1\"\n"

// readers are the commands that read the warehouse.
var readers = [][]string{{"unit", "00417"}, {"days"}, {"vents"}, {"hindsight"}}

// remedyIn is the command line that a message names.
func remedyIn(t *testing.T, said string) []string {
	t.Helper()
	_, line, ok := strings.Cut(said, "make it again with: fluedrift ")
	require.True(t, ok, "no remedy: %s", said)
	line, _, _ = strings.Cut(line, "\n")
	return strings.Fields(line)
}

// mends runs the remedy that a message names, after which the command works.
func mends(t *testing.T, said string, command []string, config string) {
	t.Helper()
	code, more := ran(t, remedyIn(t, said)...)
	require.Contains(t, []int{exitDone, exitLook}, code, more)
	code, more = ran(t, append([]string{command[0], "-config", config}, command[1:]...)...)
	require.Zero(t, code, "the remedy does not help: %s", more)
}

// An older warehouse that was put back does not go with the list that is out:
// reading commands say so with 14, and their remedy works.
func TestOlderWarehouseIsNotRead(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := smallFolder(t)
	config, warehouse := filepath.Join(dir, "fluedrift.toml"), filepath.Join(dir, "warehouse.duckdb")
	appendTo(t, config, oneCrew)
	code, said := ran(t, "nightly", "-config", config, "-as-of", "2025-03-02", "-publish")
	require.Zero(t, code, said)
	old, err := os.ReadFile(warehouse)
	require.NoError(t, err)
	code, said = ran(t, "nightly", "-config", config)
	require.Zero(t, code, said)
	for _, reader := range readers {
		require.NoError(t, os.WriteFile(warehouse, old, 0o600))
		code, said = ran(t, append([]string{reader[0], "-config", config}, reader[1:]...)...)
		require.Equal(t, exitNoWarehouse, code, "%v: %s", reader, said)
		require.Contains(t, said, "does not go with the list that is out (as of 2025-03-03)")
		require.Equal(t, []string{"nightly", "-config", config}, remedyIn(t, said))
		if long() { // it is one command, whoever asked: TestDamagedWarehouseIsSaidSo runs it
			mends(t, said, reader, config)
		}
	}
	// The list of that day can be read with the warehouse of that day, and with no other.
	require.NoError(t, os.WriteFile(warehouse, old, 0o600))
	code, said = ran(t, "unit", "-config", config, "-as-of", "2025-03-02", "00417")
	require.Zero(t, code, said)
	code, said = ran(t, "unit", "-config", config, "-as-of", "2025-03-01", "00417")
	require.Equal(t, exitNoWarehouse, code, said)
	remedy := remedyIn(t, said)
	if !long() {
		require.Contains(t, strings.Join(remedy, " "), "-as-of 2025-03-01")
		return
	}
	code, more := ran(t, remedy...)
	require.Zero(t, code, more)
	code, said = ran(t, "unit", "-config", config, "-as-of", "2025-03-01", "00417")
	require.Zero(t, code, said)
	// That warehouse is older than the list that is out, and has none of its own.
	code, said = ran(t, "unit", "-config", config, "00417")
	require.Equal(t, exitNoWarehouse, code, said)
	require.Contains(t, said, "-as-of 2025-03-01")
	mends(t, said, []string{"unit", "00417"}, config)
}

// Two configurations that share a warehouse or a lists folder do not read each
// other's. What shapes no list may change.
func TestTwoConfigurationsOnOneWarehouse(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := afterNight(t, smallNight)
	first, second := filepath.Join(dir, "fluedrift.toml"), filepath.Join(dir, "second.toml")
	appendTo(t, first, oneCrew)
	text, err := os.ReadFile(first)
	require.NoError(t, err)
	other := "[output]\nlists = \"other-lists\"\n[limits]\nco_attention_ppm = 50\n"
	require.NoError(t, os.WriteFile(second, append(text, other...), 0o600))
	var code int
	var said string
	for _, reader := range readers {
		code, said = ran(t, append([]string{reader[0], "-config", second}, reader[1:]...)...)
		require.Equal(t, exitNoWarehouse, code, "%v: %s", reader, said)
		require.Contains(t, said, "another configuration")
	}
	whole, err := os.ReadFile(filepath.Join(dir, "warehouse.duckdb"))
	require.NoError(t, err)
	mends(t, said, []string{"unit", "00417"}, second)
	code, said = ran(t, "unit", "-config", first, "00417")
	require.Equal(t, exitNoWarehouse, code)
	if long() {
		mends(t, said, []string{"unit", "00417"}, first)
	} else {
		require.Contains(t, remedyIn(t, said), first)
		require.NoError(t, os.WriteFile(filepath.Join(dir, "warehouse.duckdb"), whole, 0o600))
	}

	// One lists folder.
	require.NoError(t, os.WriteFile(second, append(text, "[limits]\nco_attention_ppm = 50\n"...), 0o600))
	code, said = ran(t, "list", "-config", second)
	require.Equal(t, exitNoWarehouse, code, said)
	require.Contains(t, said, "print it as it was published with: -as-of 2025-03-03")
	code, said = ran(t, "list", "-config", second, "-as-of", "2025-03-03")
	require.Zero(t, code, said)

	// Crews, remarks and guards may change.
	require.NoError(t, os.WriteFile(second, append(text, "# a remark\n[guards]\nmax_age_days = 4000\n"...), 0o600))
	require.NoError(t, os.WriteFile(second, bytes.Replace(text, []byte("weeks = 2"), []byte("weeks = 3"), 1), 0o600))
	for _, reader := range append(readers, []string{"list"}) {
		if reader[0] == "hindsight" && !long() {
			continue // it fits the fleet of many days
		}
		code, said = ran(t, append([]string{reader[0], "-config", second}, reader[1:]...)...)
		require.Zero(t, code, "%v: %s", reader, said)
	}
}

// A warehouse that was cut, that holds other bytes, or that somebody writes in is
// 14 with a remedy that works; none of the engine's words reach a person.
func TestDamagedWarehouseIsSaidSo(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := afterNight(t, smallNight)
	config, warehouse := filepath.Join(dir, "fluedrift.toml"), filepath.Join(dir, "warehouse.duckdb")
	var code int
	var said string
	whole, err := os.ReadFile(warehouse)
	require.NoError(t, err)
	ends := map[int]int{}
	look := func(text []byte, what string, at int) {
		require.NoError(t, os.WriteFile(warehouse, text, 0o600))
		code, said = ran(t, "unit", "-config", config, "00417")
		require.Contains(t, []int{exitDone, exitNoWarehouse}, code, "%s at %d: %s", what, at, said)
		ends[code]++
		if code == exitNoWarehouse {
			require.NotContains(t, said, "IO Error", "%s at %d", what, at)
			remedyIn(t, said)
		}
	}
	step := len(whole) / suite(8, 500)
	for at := 1000; at < len(whole); at += step {
		changed := bytes.Clone(whole)
		changed[at] ^= 0xff
		look(changed, "changed", at)
	}
	require.Greater(t, ends[exitNoWarehouse], suite(1, 5), "hardly any change was seen")
	for _, at := range []int{len(whole) - 1, len(whole) / 2, 5000, 100}[:suite(2, 4)] {
		look(whole[:at], "cut", at)
		require.Equal(t, exitNoWarehouse, code, "cut at %d", at)
	}
	mends(t, said, []string{"unit", "00417"}, config)
	if long() {
		require.NoError(t, os.WriteFile(warehouse, whole[:len(whole)/2], 0o600))
		_, said = ran(t, "unit", "-config", config, "00417")
		mends(t, said, []string{"unit", "00417"}, config)
	}

	c := exec.Command("engineer", warehouse)
	out, err := c.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start())
	defer func() { c.Process.Kill(); c.Wait() }()
	_, err = bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	code, said = ran(t, "unit", "-config", config, "00417")
	require.Equal(t, exitNoWarehouse, code, said)
	remedyIn(t, said)
	if long() {
		mends(t, said, []string{"unit", "00417"}, config)
	}
}

// A list that was changed after it was published is not printed.
func TestChangedListIsNotPrinted(t *testing.T) {
	t.Parallel()
	dir := afterNight(t, smallNight)
	config := filepath.Join(dir, "fluedrift.toml")
	path := filepath.Join(dir, "lists", "latest", "watchlist.json")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, bytes.Replace(text, []byte("00417"), []byte("00418"), 1), 0o600))
	code, said := ran(t, "list", "-config", config)
	require.Equal(t, exitNoWarehouse, code, said)
	require.Contains(t, said, "watchlist.json holds other bytes than were published")
	require.Equal(t, []string{"nightly", "-config", config}, remedyIn(t, said))
	if long() {
		mends(t, said, []string{"list"}, config)
	}
}

// A command that reads while the links are about to move waits for them.
func TestReadersWaitForTheLinks(t *testing.T) {
	aWholeNight(t)
	t.Parallel()
	dir := afterNight(t, smallNight)
	config := filepath.Join(dir, "fluedrift.toml")
	var out, errs bytes.Buffer
	c := &call{streams: quietStreams(&out, &errs)}
	c.config, c.asOf, c.publish = config, "2025-03-04", true
	n, err := nightOf(c)
	require.NoError(t, err)
	began, ended := make(chan bool), make(chan string, 1)
	c.trace = func(op publish.Op) {
		if op.Do == "link" && op.Path == ".latest.new" { // the warehouse is the new one
			go func() {
				close(began)
				var out, errs bytes.Buffer
				run(t.Context(), []string{"unit", "-config", config, "00417"}, quietStreams(&out, &errs))
				ended <- errs.String()
			}()
			<-began
			select {
			case said := <-ended:
				ended <- "it did not wait: " + said
			case <-time.After(3 * underWayPause):
			}
		}
	}
	_, err = n.Run(t.Context())
	require.NoError(t, err)
	require.Empty(t, <-ended)
}
