package main

import (
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

// Objects keep to their measures.
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
		require.False(t, large, "%s has %d methods in %d files", object, n, len(files[object]))
	}
}

// Lines keep to their columns, those of tests too.
func TestLinesAreShort(t *testing.T) {
	eachFile(t, func(string) bool { return true }, func(path string, source []byte) {
		for i, line := range strings.Split(string(source), "\n") {
			if n := utf8.RuneCountInString(line); n > mostColumns {
				t.Errorf("%s:%d has %d columns", path, i+1, n)
			}
		}
	})
}

// eachProductFile reads every Go file but tests, by its path from the root.
func eachProductFile(t *testing.T, do func(path string, source []byte)) {
	eachFile(t, func(path string) bool { return !strings.HasSuffix(path, "_test.go") }, do)
}

// eachFile reads every Go file that is wanted.
func eachFile(t *testing.T, wanted func(path string) bool, do func(path string, source []byte)) {
	root := filepath.Join("..", "..")
	require.NoError(t, filepath.WalkDir(root, func(path string, _ fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".go") || !wanted(path) {
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
