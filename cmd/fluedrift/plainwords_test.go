package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// notWritten are ways of saying things that a native engineer would stumble over when
// reading them aloud, and names that are gone, with what is written in their place.
var notWritten = []struct {
	words   *regexp.Regexp
	instead string
}{
	{regexp.MustCompile(`\bas[ -](lefts|founds)\b`), "as-left readings, as-found readings: the two are adjectives"},
	{regexp.MustCompile(`\b(an|no|its|the|newest|last|every|without|\w+'s) as (left|found)\b`), "an as-left reading: the two are adjectives"},
	{regexp.MustCompile(`\bas (left|found) (is|are|was|were|not|recorded|repeats)\b`), "the as-left reading is: the two are adjectives"},
	{regexp.MustCompile(`\d \+-|\+-\s?[%\d]`), "±"},
	{regexp.MustCompile(`\b(by how far|by the look of)\b`), "how far; probably"},
	{regexp.MustCompile(`\bfor want of\b`), "because X is missing"},
	{regexp.MustCompile(`\b(hold|holds|held|holding)\b[^.;:]{0,60}\bagainst\b`), "compare with"},
	{regexp.MustCompile(`\blets? expect\b`), "implies"},
	{regexp.MustCompile(`\breckon(s|ed|ing)?\b`), "computed from"},
	{regexp.MustCompile(`\bhardly left so\b`), "probably a mistake"},
	{regexp.MustCompile(`\bstands? at\b`), "is"},
	{regexp.MustCompile(`\bstands? off\b`), "reads higher or lower than"},
	{regexp.MustCompile(`\btells? of\b`), "describes, shows"},
	{regexp.MustCompile(`\bgives what\b|\bsay of a fit\b`), "describes"},
	{regexp.MustCompile(`\b(the )?only fire\b|\bthe only one\b`), "single fire"},
	{regexp.MustCompile(`\bin doubt\b`), "questionable"},
	{regexp.MustCompile(`\b(full )?test overdue\b.*\bfull\b`), "test overdue"},
	{regexp.MustCompile(`\bboth fires as found\b`), "high and low fire as found before adjusting anything"},
	{regexp.MustCompile(`\bflue-gas way\b`), "flue gas drawn into the intake"},
	{regexp.MustCompile(`\bclassified here\b|\bcleared to run\b`), "This list judges records, not boilers. It clears no boiler to run."},
	{regexp.MustCompile(`\bno layout names\b`), "no layout matches this file name"},
	{regexp.MustCompile(`(?i)\bnot surely ahead\b`), "not clearly better than"},
	{regexp.MustCompile(`\bdays outside\b`), "days out of limits"},
	{
		regexp.MustCompile(`\b((probably|found|looks?) (inside|outside)|(stand|stood|standing|stands) outside)\b`),
		"out of limits, within limits",
	},
	{regexp.MustCompile(`\b(leaves?|left|outside|inside) (its|the) action band\b`), "limits"},
	{regexp.MustCompile(`\bis unconfirmed\b`), "is out of line, and nothing since confirms it"},
	{regexp.MustCompile(`\b(a|the|newest) look(s)? back\b|\blooks back cannot\b`), "hindsight"},
	{regexp.MustCompile(`\bin the mean\b`), "on average"},
	{regexp.MustCompile(`\bas a rule\b`), "usually"},
	{regexp.MustCompile(`\bnought\b`), "zero"},
}

// namesGone are names of the lists that are gone; only the log of changes, and what reads
// earlier publications, has them.
var namesGone = regexp.MustCompile(`\b(bring forward|leave to plan|fix record|full test overdue|tiers?|P out|tied|` +
	`place on the (list|watchlist)|place in the list)\b`)

// hasNamesGone are the files that have to know them.
var hasNamesGone = []string{"cmd/fluedrift/settings/changes.go", "analysis/report/lists/units.go", "cmd/fluedrift/flags.go"}

// saysActionBand are the files that say what an action band is. Sentences say limits.
var saysActionBand = []string{
	"cmd/fluedrift/settings/help.go", "cmd/fluedrift/settings/changes.go", "cmd/fluedrift/start_targets.go", "ingest/layout/meanings.go",
}

// Whatever a person reads keeps to the words above: literals of the commands, of reports
// and of ingest, the texts of templates, lists and pages as they are written, and README.
func TestTextsArePlain(t *testing.T) {
	eachProductFile(t, func(name string, source []byte) {
		file := filepath.ToSlash(name)
		for _, room := range []string{"analysis/report/", "cmd/", "ingest/", "datasets/demo/"} {
			if strings.HasPrefix(file, room) {
				for _, text := range literalsIn(t, name, source) {
					requirePlain(t, file, text)
				}
				require.NotRegexp(t, countedCondition, string(source), "%s: conditions are adjectives: count readings", file)
			}
		}
	})
	root := filepath.Join("..", "..")
	written := []string{filepath.Join(root, "README.md")}
	for _, pattern := range []string{"*/*.tmpl.html", "testdata/*"} {
		names, err := filepath.Glob(filepath.Join(root, "analysis", "report", filepath.FromSlash(pattern)))
		require.NoError(t, err)
		require.NotEmpty(t, names, pattern)
		written = append(written, names...)
	}
	for _, name := range written {
		source, err := os.ReadFile(name)
		require.NoError(t, err)
		for _, part := range pageTags.Split(strings.Join(strings.Fields(string(source)), " "), -1) {
			requirePlain(t, filepath.ToSlash(name), part)
		}
	}
}

var (
	// pageTags part the texts of a page.
	pageTags = regexp.MustCompile(`<[^>]*>`)

	// countedCondition is a condition counted as if it were a thing.
	countedCondition = regexp.MustCompile(`Counted\([^"\n]*"as (left|found)"`)
)

// The words are seen where a text has them, broken over lines or not.
func TestPlainWordsSeeWhatIsNotWritten(t *testing.T) {
	for _, text := range []string{
		"the last 6 as lefts", "no as found was written", "as left not recorded", "target 9.0 +-0.2", "hold the trim against the analyzer",
		"probably outside now", "found outside", "bring forward: 3", "outside the action band", "fuel in doubt", "its place on the list",
		"leave to plan", "fix record", "full test overdue", "by tier", "two tiers", "P out", "tied with it", "a place on the watchlist",
		"a place in the list",
	} {
		require.NotEmpty(t, stumbles("x.go", text), text)
	}
	for _, text := range []string{
		"3 as-left readings", "CO2 9.8 % as left", "found at 9.4, left at 9.8", "outside the setting band", "place of work", "frontier",
	} {
		require.Empty(t, stumbles("x.go", text), text)
	}
}

func requirePlain(t *testing.T, file, text string) {
	t.Helper()
	for _, s := range stumbles(file, text) {
		t.Errorf("%s: %s", file, s)
	}
}

// stumbles are what a text says in words that are not written, with what to write.
func stumbles(file, text string) (all []string) {
	for _, w := range notWritten {
		if found := w.words.FindString(text); found != "" {
			all = append(all, strconv.Quote(found)+" in "+strconv.Quote(text)+"; write: "+w.instead)
		}
	}
	if found := namesGone.FindString(text); found != "" && !slices.Contains(hasNamesGone, file) {
		all = append(all, strconv.Quote(found)+" is gone: "+strconv.Quote(text))
	}
	if !slices.Contains(saysActionBand, file) && strings.Contains(text, "action band") {
		all = append(all, "limits, not action band: "+strconv.Quote(text))
	}
	return all
}

// literalsIn are the texts of a file, those on several lines as one.
func literalsIn(t *testing.T, name string, source []byte) (all []string) {
	f, err := parser.ParseFile(token.NewFileSet(), name, source, 0)
	require.NoError(t, err)
	ast.Inspect(f, func(node ast.Node) bool {
		switch x := node.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.BinaryExpr:
			if x.Op == token.ADD && readsLikeOne(x) {
				all = append(all, joined(x))
				return false
			}
		case *ast.BasicLit:
			if x.Kind == token.STRING {
				all = append(all, joined(x))
			}
		}
		return true
	})
	return all
}

// joined is a sum of texts as one, without what is computed in it.
func joined(e ast.Expr) string {
	switch x := e.(type) {
	case *ast.BinaryExpr:
		return joined(x.X) + joined(x.Y)
	case *ast.BasicLit:
		if text, err := strconv.Unquote(x.Value); err == nil {
			return text
		}
	}
	return "... "
}
