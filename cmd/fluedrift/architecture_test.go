package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// mayImport is the import table of the house: what each package may import of
// the project. A prefix ending in /... stands for a whole tree. Imports point
// down only; external test packages (package x_test) are outside the table.
var mayImport = map[string][]string{
	"model":                 {},
	"model/day":             {},
	"model/quantity":        {},
	"model/combustion":      {"model/quantity"},
	"model/vent":            {"model/quantity", "model/combustion"},
	"model/judge":           {"model/day", "model/quantity", "model/combustion", "model/vent"},
	"model/drift":           {"model/quantity"},
	"queries":               {"model/day", "model/judge"},
	"ingest/parse":          {"model/..."},
	"ingest/layout":         {"model/...", "ingest/parse"},
	"ingest/mend":           {"model/day", "ingest/layout", "ingest/lines", "ingest/parse", "ingest/book"},
	"ingest/lines":          {"ingest/layout", "ingest/parse"},
	"ingest/book":           {"ingest/layout", "ingest/lines", "ingest/parse"},
	"ingest/objects":        {"ingest/lines"},
	"ingest/tables":         {"ingest/lines"},
	"ingest/parquet":        {"ingest/lines", "ingest/parse", "queries"},
	"ingest/reshape":        {"model/day", "ingest/layout", "ingest/lines", "ingest/parse"},
	"ingest/draft":          {"model/...", "ingest/layout", "ingest/lines", "ingest/objects", "ingest/parse", "ingest/reshape"},
	"ingest/ids":            {"model/day", "ingest/parse"},
	"ingest":                {"queries", "model/...", "ingest/..."},
	"analysis":              {"model/..."},
	"analysis/estimate":     {"analysis", "queries", "model/..."},
	"analysis/watch":        {"analysis", "queries", "model/..."},
	"analysis/fleet":        {"analysis", "queries", "model/...", "analysis/estimate", "analysis/watch"},
	"analysis/study":        {"analysis", "queries", "model/...", "analysis/estimate", "analysis/fleet"},
	"analysis/hindsight":    {"analysis", "queries", "model/...", "analysis/watch", "analysis/estimate", "analysis/fleet"},
	"analysis/days":         {"analysis", "queries", "model/...", "analysis/watch"},
	"analysis/report":       {},
	"analysis/report/units": {"model/quantity"},
	"analysis/report/words": {
		"analysis", "analysis/report/units", "analysis/estimate", "analysis/watch", "analysis/days",
		"analysis/hindsight", "analysis/study", "model/...",
	},
	"analysis/report/table": {"analysis/report/units", "analysis/report/words", "analysis/watch", "model/..."},
	"analysis/report/lists": {
		"analysis", "analysis/watch", "analysis/days", "analysis/hindsight", "model/...", "analysis/report/words",
		"analysis/report/units", "analysis/report/table",
	},
	"analysis/report/page": {
		"analysis/watch", "analysis/days", "analysis/hindsight", "model/...", "analysis/report/words",
		"analysis/report/units", "analysis/report/table", "analysis/report/lists",
	},
	"analysis/report/study": {
		"analysis/study", "analysis/watch", "model/...", "analysis/report/words", "analysis/report/units",
		"analysis/report/table", "analysis/report/page",
	},
	"datasets/companies": {"model/..."},
	"datasets/demo":      {"model/..."},
	"datasets/measured":  {},
	"datasets/poor":      {"model/day", "model/judge"},
	"datasets/reference": {},
	"datasets/worlds":    {"datasets/demo", "model/..."},
	"cmd/fluedrift/night": {
		"cmd/fluedrift/publish", "cmd/fluedrift/settings", "analysis/...", "analysis", "ingest", "ingest/...",
		"queries", "model/...",
	},
	"cmd/fluedrift/publish":  {"cmd/fluedrift/settings", "queries"},
	"cmd/fluedrift/settings": {"analysis/...", "analysis", "ingest", "ingest/...", "queries", "model/..."},
	"cmd/fluedrift": {
		"cmd/fluedrift/...", "analysis/...", "analysis", "ingest", "ingest/...", "queries", "model/...",
		"datasets/demo",
	},
}

// neverImports names what a tree of packages must do without: the model knows
// no files, no database and no chance. It may reckon with days of the calendar;
// TestClockIsAskedInOnePlace sees that it asks no clock.
var neverImports = map[string][]string{
	"":       {"net", "net/http", "net/rpc", "net/smtp"}, // the program calls nobody
	"model/": {"os", "io/fs", "net", "net/http", "database/sql", "math/rand", "math/rand/v2", "log", "log/slog"},
}

type listed struct {
	ImportPath, Dir, Name, Doc string
	Imports                    []string
}

func listPackages(t *testing.T) []listed {
	out, err := exec.Command("go", "list", "-json=ImportPath,Dir,Name,Doc,Imports", "fluedrift/...").Output()
	require.NoError(t, err)
	var all []listed
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var one listed
		if err := d.Decode(&one); errors.Is(err, io.EOF) {
			return all
		} else {
			require.NoError(t, err)
		}
		all = append(all, one)
	}
}

func matches(patterns []string, name string) bool {
	return slices.ContainsFunc(patterns, func(p string) bool {
		tree, whole := strings.CutSuffix(p, "/...")
		return name == p || whole && strings.HasPrefix(name, tree+"/")
	})
}

func TestImportsPointDownOnly(t *testing.T) {
	for _, p := range listPackages(t) {
		name := strings.TrimPrefix(p.ImportPath, "fluedrift/")
		allowed, known := mayImport[name]
		require.True(t, known, "package %s is not in the import table", name)
		require.NotEmpty(t, p.Doc, "package %s has no package comment", name)
		require.NotContains(t, []string{"internal", "pkg", "util", "common", "types", "config"}, filepath.Base(name))
		for _, i := range p.Imports {
			if own, ok := strings.CutPrefix(i, "fluedrift/"); ok {
				require.True(t, matches(allowed, own), "%s must not import %s", name, own)
			}
			if strings.Contains(i, "go-duckdb") || i == "database/sql" {
				require.Equal(t, "queries", name, "only queries may import %s", i)
			}
			for tree, never := range neverImports {
				if strings.HasPrefix(name, tree) {
					require.NotContains(t, never, i, "%s must not import %s", name, i)
				}
			}
		}
	}
}

// Only the command asks what time it is: everything else gets it as a value.
func TestClockIsAskedInOnePlace(t *testing.T) {
	for _, p := range listPackages(t) {
		if p.ImportPath == "fluedrift/cmd/fluedrift" {
			continue
		}
		files, err := filepath.Glob(filepath.Join(p.Dir, "*.go"))
		require.NoError(t, err)
		for _, f := range files {
			if strings.HasSuffix(f, "_test.go") {
				continue
			}
			text, err := os.ReadFile(f)
			require.NoError(t, err)
			require.NotContains(t, string(text), "time.Now()", f)
		}
	}
}

func TestTopLevelIsFixed(t *testing.T) {
	out, err := exec.Command("git", "-C", "../..", "ls-tree", "--name-only", "HEAD").Output()
	if err != nil {
		t.Skip("not a git checkout")
	}
	fixed := strings.Fields("cmd ingest model analysis queries datasets go.mod go.sum README.md DEVELOPERS.md .ci .gitignore .gitattributes")
	for name := range strings.FieldsSeq(string(out)) {
		require.Contains(t, fixed, name)
	}
}

// A change in the lowest package is felt by every package above it: no chain of
// imports is longer than this.
const longestChain = 12

func TestNoChainOfImportsIsLong(t *testing.T) {
	imports := map[string][]string{}
	for _, p := range listPackages(t) {
		imports[p.ImportPath] = p.Imports
	}
	longest := map[string][]string{}
	var chain func(name string) []string
	chain = func(name string) []string {
		if known, ok := longest[name]; ok {
			return known
		}
		var below []string
		for _, i := range imports[name] {
			if _, own := imports[i]; !own {
				continue
			}
			if c := chain(i); len(c) > len(below) {
				below = c
			}
		}
		longest[name] = append([]string{name}, below...)
		return longest[name]
	}
	for name := range imports {
		require.LessOrEqual(t, len(chain(name)), longestChain, strings.Join(chain(name), " -> "))
	}
}
