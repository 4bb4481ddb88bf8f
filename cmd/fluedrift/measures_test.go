package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
)

// The measures of the house: an object has few methods in few files, and a line is
// one idea.
const (
	mostMethods = 25
	mostFiles   = 3
	mostColumns = 140
)

// tooLarge are the objects that exceed a measure today, to be split. The list only
// shrinks: an entry that is no longer needed fails.
var tooLarge = map[string]bool{
	"analysis/watch.FireLine":       true,
	"analysis/watch.Line":           true,
	"analysis/watch.facts":          true,
	"cmd/fluedrift.call":            true,
	"cmd/fluedrift/settings.Config": true,
}

// longLines is how many lines of product code exceed the columns today. It only
// shrinks.
const longLines = 45

// Objects keep to their measures, but for those on the list.
func TestObjectsAreSmall(t *testing.T) {
	methods, files := map[string]int{}, map[string]map[string]bool{}
	eachProductFile(t, func(path string, source []byte) {
		file, err := parser.ParseFile(token.NewFileSet(), path, source, parser.SkipObjectResolution)
		require.NoError(t, err)
		for _, d := range file.Decls {
			f, ok := d.(*ast.FuncDecl)
			if !ok || f.Recv == nil {
				continue
			}
			object := filepath.ToSlash(filepath.Dir(path)) + "." + receiver(f)
			methods[object]++
			if files[object] == nil {
				files[object] = map[string]bool{}
			}
			files[object][path] = true
		}
	})
	for object, n := range methods {
		large := n > mostMethods || len(files[object]) > mostFiles
		switch said := fmt.Sprintf("%s has %d methods in %d files", object, n, len(files[object])); {
		case large && !tooLarge[object]:
			t.Error(said)
		case !large && tooLarge[object]:
			t.Errorf("%s: take it off the list", said)
		}
		delete(tooLarge, object)
	}
	require.Empty(t, tooLarge, "objects on the list that are not there")
}

// Lines of product code keep to their columns, but for a number that only shrinks.
func TestLinesAreShort(t *testing.T) {
	var long []string
	eachProductFile(t, func(path string, source []byte) {
		for i, line := range strings.Split(string(source), "\n") {
			if n := utf8.RuneCountInString(line); n > mostColumns {
				long = append(long, fmt.Sprintf("%s:%d has %d columns", path, i+1, n))
			}
		}
	})
	require.LessOrEqual(t, len(long), longLines, "%s", strings.Join(long, "\n"))
	require.GreaterOrEqual(t, len(long), longLines, "lower longLines")
}

// eachProductFile reads every Go file but tests, by its path from the root.
func eachProductFile(t *testing.T, do func(path string, source []byte)) {
	root := filepath.Join("..", "..")
	require.NoError(t, filepath.WalkDir(root, func(path string, _ fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		source, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		from, err := filepath.Rel(root, path)
		do(from, source)
		return err
	}))
}
