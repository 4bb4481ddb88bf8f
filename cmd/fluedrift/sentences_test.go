package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// sentencesLeft is how many string literals that read like a sentence for people the
// packages of the model and of the analyses hold outside their reports, errors and
// panics apart. Each number only shrinks; a package that is not here has none. What
// stays are names that the trade or a published table gives (fittings, units and why
// one is refused, tiers, next steps), those of fits, of their columns with unit, coding
// and source, and of how a fit came about, which are keys too, the vocabulary of
// records (conditions, controls, where air comes from, what a reading is used for), and
// verdicts and parts of a forecast as the warehouse and run.json store them.
var sentencesLeft = map[string]int{
	"analysis":           7,
	"analysis/estimate":  50,
	"analysis/hindsight": 3,
	"analysis/study":     20,
	"analysis/watch":     9,
	"model/combustion":   14,
	"model/drift":        9,
	"model/judge":        17,
	"model/quantity":     27,
	"model/vent":         37,
}

// sentence is two words of small letters after each other.
var sentence = regexp.MustCompile(`[a-z]{2,},? [a-z]{2,}`)

// Sentences are made in package words: the model and the analyses hand over kinds and
// numbers. Columns of lists and pages describe themselves where they stand.
func TestSentencesAreMadeInWords(t *testing.T) {
	found := map[string]int{}
	eachProductFile(t, func(name string, source []byte) {
		file := filepath.ToSlash(name)
		tree, _, _ := strings.Cut(file, "/")
		if tree != "model" && tree != "analysis" || strings.HasPrefix(file, "analysis/report/") {
			return
		}
		if n := sentencesIn(t, name, source); n > 0 {
			found[path.Dir(file)] += n
		}
	})
	for room, n := range found {
		require.LessOrEqual(t, n, sentencesLeft[room], "%s: put what people read into analysis/report/words", room)
	}
	for room, n := range sentencesLeft {
		require.Equal(t, n, found[room], "lower the number of %s", room)
	}
}

// sentencesIn counts the literals of a file that read like sentences, those in errors
// and panics apart.
func sentencesIn(t *testing.T, name string, source []byte) (n int) {
	f, err := parser.ParseFile(token.NewFileSet(), name, source, 0)
	require.NoError(t, err)
	ast.Inspect(f, func(node ast.Node) bool {
		switch x := node.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.CallExpr:
			if raises(x) {
				return false
			}
		case *ast.BinaryExpr: // a literal on several lines is one
			if x.Op == token.ADD && readsLikeOne(x) {
				n++
				return false
			}
		case *ast.BasicLit:
			if x.Kind == token.STRING && sentence.MatchString(x.Value) {
				n++
			}
		}
		return true
	})
	return n
}

// readsLikeOne reports whether a literal of a sum of texts reads like a sentence.
func readsLikeOne(e ast.Expr) bool {
	switch x := e.(type) {
	case *ast.BinaryExpr:
		return readsLikeOne(x.X) || readsLikeOne(x.Y)
	case *ast.BasicLit:
		return x.Kind == token.STRING && sentence.MatchString(x.Value)
	}
	return false
}

// raises reports whether a call makes an error or panics.
func raises(call *ast.CallExpr) bool {
	switch f := call.Fun.(type) {
	case *ast.Ident:
		return f.Name == "panic"
	case *ast.SelectorExpr:
		of, _ := f.X.(*ast.Ident)
		return of != nil && (of.Name == "fmt" && f.Sel.Name == "Errorf" || of.Name == "errors" && f.Sel.Name == "New")
	}
	return false
}
