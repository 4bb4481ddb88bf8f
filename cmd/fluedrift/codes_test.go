package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/judge"
)

// codesIn is the file that declares the words of codes.
var codesIn = filepath.Join("model", "judge", "codes.go")

// notCodes are the files with literals that look like codes and are none, and why.
var notCodes = map[string]string{
	filepath.Join("ingest", "draft", "words.go"):            "the words that exports use for codes, some of which are ours",
	filepath.Join("analysis", "report", "words", "fits.go"): "readings that look high or low",
}

// Product code writes fires, conditions, reasons, controls and states by their
// constants: no literal equal to one is compared, a case, the key of a map, or put
// into a field or variable of one's name.
func TestCodesAreWrittenByTheirConstants(t *testing.T) {
	words := map[string]bool{}
	collect(words, judge.Fires())
	collect(words, judge.Conditions())
	collect(words, judge.Reasons())
	collect(words, judge.Controls())
	collect(words, judge.States())
	found := map[string][]string{}
	eachProductFile(t, func(path string, source []byte) {
		if path == codesIn {
			return
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, source, parser.SkipObjectResolution)
		require.NoError(t, err)
		for _, word := range codesAsLiterals(file) {
			if words[word] {
				found[path] = append(found[path], word)
			}
		}
	})
	for path, literals := range found {
		if notCodes[path] == "" {
			t.Errorf("%s: write the constants of model/judge for %q", path, literals)
		}
	}
	for path := range notCodes {
		require.NotEmpty(t, found[path], "%s: take it off the list", path)
	}
}

// A test that could not see a literal would hold nothing.
func TestCodesAsLiteralsAreSeen(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "x.go", `package x
var m = map[string]int{"a": 1}
var s = []T{{Fire: "b"}}
func f(fire string) {
	if fire == "c" || "d" != fire { fire = "e" }
	switch fire { case "f", "g": }
	_ = m["h"]
	print("none", []string{"none"})
}`, parser.SkipObjectResolution)
	require.NoError(t, err)
	require.ElementsMatch(t, []string{"a", "b", "c", "d", "e", "f", "g", "h"}, codesAsLiterals(file))
}

func collect[W ~string](into map[string]bool, words []W) {
	for _, w := range words {
		into[string(w)] = true
	}
}

// codesAsLiterals gives the texts that a file compares with, has as a case, as a key
// or as the index of a map, sets a field to, or assigns.
func codesAsLiterals(file *ast.File) (texts []string) {
	take := func(all ...ast.Expr) {
		for _, e := range all {
			if l, ok := e.(*ast.BasicLit); ok && l.Kind == token.STRING {
				text, _ := strconv.Unquote(l.Value)
				texts = append(texts, text)
			}
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.BinaryExpr:
			if n.Op == token.EQL || n.Op == token.NEQ {
				take(n.X, n.Y)
			}
		case *ast.CaseClause:
			take(n.List...)
		case *ast.KeyValueExpr:
			take(n.Key)
			if _, field := n.Key.(*ast.Ident); field {
				take(n.Value)
			}
		case *ast.IndexExpr:
			take(n.Index)
		case *ast.AssignStmt:
			take(n.Rhs...)
		}
		return true
	})
	return texts
}
