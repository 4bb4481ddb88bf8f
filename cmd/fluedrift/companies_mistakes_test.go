package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/cmd/fluedrift/night"
	"fluedrift/datasets/companies"
	"fluedrift/queries"
)

// everyLineIsListed looks up the lines that are not accepted: a copy of another line, or
// one that a later line corrects, names that line; every other one stands in the records
// to correct with its file and line. Together they are those that were counted.
func (h *companyHour) everyLineIsListed(t *testing.T) {
	t.Helper()
	w, done := h.built(t)
	defer done()
	found := map[string]int64{}
	outcomes, err := w.Outcomes(context.Background())
	require.NoError(t, err)
	for _, o := range outcomes {
		require.NotEmpty(t, o.Other, "%s:%d is %s of no line", o.File, o.Line, o.Outcome)
		if o.Outcome == "duplicate" || o.Outcome == "superseded" {
			found[o.Outcome]++
		}
	}
	text, err := os.ReadFile(filepath.Join(h.dir, "lists", "latest", "records-to-fix.csv"))
	require.NoError(t, err)
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	require.NoError(t, err)
	listed := map[string]bool{}
	for _, r := range rows[1:] {
		listed[r[0]+":"+r[1]] = true
	}
	aside, err := w.SetAside(context.Background())
	require.NoError(t, err)
	seen := map[string]bool{}
	for _, a := range aside {
		at := fmt.Sprintf("%s:%d", a.File, a.Line)
		if a.Cell() || a.Outcome != "set aside" && a.Outcome != "doubtful" {
			continue
		}
		require.True(t, listed[at], "%s is %s, %s, and not among the records to correct", at, a.Outcome, a.Reason)
		if !seen[at] {
			found[a.Outcome]++
		}
		seen[at] = true
	}
	for _, outcome := range []string{"duplicate", "superseded", "doubtful", "set aside"} {
		require.Equal(t, h.lines[outcome], found[outcome], outcome)
	}
}

// built opens the warehouse of the last night.
func (h *companyHour) built(t *testing.T) (w *queries.Warehouse, done func()) {
	t.Helper()
	w, err := queries.Open(context.Background(), filepath.Join(h.dir, "warehouse.duckdb"), night.WarehouseOptions(version()))
	require.NoError(t, err)
	return w, func() { require.NoError(t, w.Close()) }
}

// copies puts a file of readings beside the others once more under another name, as it
// is and as it was when a fifth of it was not yet written: a night either says that
// nobody reads the copy, or takes every line of it for one it has.
func (h *companyHour) copies(t *testing.T) {
	t.Helper()
	right := h.right
	for _, f := range h.Files {
		lines := strings.SplitAfter(string(f.Data), "\n")
		if f.Record != "readings" || strings.HasPrefix(lines[0], "PK") {
			continue
		}
		for as, text := range map[string]string{"the same": string(f.Data), "older": strings.Join(lines[:len(lines)*4/5], "")} {
			ext := filepath.Ext(f.Name)
			name := strings.TrimSuffix(f.Name, ext) + " (1)" + ext
			path := filepath.Join(h.exports(), filepath.FromSlash(name))
			require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
			h.night(t)
			require.Contains(t, []int{exitLook, exitRefused}, h.code, "%s: %s", as, h.said)
			require.Contains(t, h.said, filepath.Base(name), as)
			h.right, h.wrong = 0, nil
			h.countReadings(t)
			require.Equal(t, right, h.right, "%s: the readings are those of before", as)
			require.NoError(t, os.Remove(path))
		}
		return
	}
}

// layoutOf is the layout of the first file of a record.
func (h *companyHour) layoutOf(t *testing.T, record string) string {
	t.Helper()
	all, err := filepath.Glob(filepath.Join(h.dir, "layouts", "*.toml"))
	require.NoError(t, err)
	at := slices.IndexFunc(all, func(path string) bool { return strings.Contains(readText(t, path), fmt.Sprintf("record = %q", record)) })
	require.GreaterOrEqual(t, at, 0)
	return all[at]
}

var (
	decimalKey   = regexp.MustCompile(`(?m)^decimal = "(.)".*$`)
	thousandsKey = regexp.MustCompile(`(?m)^thousands = .*\n`)
)

// otherDecimal declares the register's numbers with the other decimal mark: what can no
// longer be read, or is no boiler's, is named with its file.
func (h *companyHour) otherDecimal(t *testing.T) {
	t.Helper()
	path := h.layoutOf(t, "units")
	was := readText(t, path)
	m := decimalKey.FindStringSubmatch(was)
	require.NotNil(t, m, was)
	other := map[string]string{",": ".", ".": ","}[m[1]]
	text := decimalKey.ReplaceAllString(thousandsKey.ReplaceAllString(was, ""), "decimal = "+strconv.Quote(other))
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	h.night(t)
	require.Contains(t, []int{exitLook, exitRefused}, h.code, h.said)
	register := slices.IndexFunc(h.Files, func(f companies.File) bool { return f.Record == "units" })
	require.Contains(t, h.said, h.Files[register].Name)
	require.NoError(t, os.WriteFile(path, []byte(was), 0o600))
}

// callsAsRegister answers that service calls are a register of boilers: the boilers stay as
// they are, or the night refuses to publish, and says why.
func (h *companyHour) callsAsRegister(t *testing.T) {
	t.Helper()
	path := filepath.Join(h.dir, decisionsName)
	was := readText(t, path)
	if !strings.Contains(was, `rows" = "none of these"`) {
		t.Logf("%s: nobody was asked what a service call is", h.Name)
		return
	}
	text := strings.Replace(was, `rows" = "none of these"`, `rows" = "a register of boilers"`, 1)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	h.start(t)
	h.night(t)
	require.Contains(t, []int{exitLook, exitRefused}, h.code, h.said)
	t.Logf("%s: service calls as a register: %d %s", h.Name, h.code, h.said)
	require.NoError(t, os.WriteFile(path, []byte(was), 0o600))
}
