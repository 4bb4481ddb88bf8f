package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// withUnit is a number of a text or a template with a unit of measure behind it that a
// reader can choose otherwise, or such a unit behind the name of an axis.
var withUnit = regexp.MustCompile(`(%[0-9.]*[a-z]|[0-9]|}}|,|^") ((degC|degF|kW|MBH|Pa|mbar|in ` +
	`w\.c\.|mm|m|ft|km|km/h|mph|mi|K)($|[^a-zA-Z0-9])|in["<,])`)

// inBraces is a quantity that words writes in the units of the reader.
var inBraces = regexp.MustCompile(`{[^{}]*}`)

// sameForAll are parts of texts with such a unit that every reader reads alike.
var sameForAll = []string{
	"the flue was recorded at %s degC where %s is usual: probably %s degF", // the two readings of one number
	"kelvin above 10 degC",                          // a key of the model, replaced where it is shown
	"a bench that does not say is taken at 20 degC", // of a column in SI
}

// What people read has quantities in the units of the reader: package units writes
// them, and no text or page beside it has the unit in itself.
func TestQuantitiesAreWrittenByUnits(t *testing.T) {
	eachProductFile(t, func(name string, source []byte) {
		file := filepath.ToSlash(name)
		if !strings.HasPrefix(file, "analysis/report/") || strings.HasPrefix(file, "analysis/report/units/") {
			return
		}
		f, err := parser.ParseFile(token.NewFileSet(), name, source, 0)
		require.NoError(t, err)
		ast.Inspect(f, func(node ast.Node) bool {
			x, ok := node.(*ast.BasicLit)
			if !ok || x.Kind != token.STRING {
				return true
			}
			text := inBraces.ReplaceAllString(x.Value, "")
			for _, same := range sameForAll {
				text = strings.ReplaceAll(text, same, "")
			}
			require.NotRegexp(t, withUnit, text, "%s: let a units.Set write the quantity", file)
			return true
		})
	})
	templates, err := filepath.Glob("../../analysis/report/*/*.tmpl.html")
	require.NoError(t, err)
	require.NotEmpty(t, templates)
	for _, path := range templates {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		for line := range strings.Lines(string(text)) {
			require.NotRegexp(t, withUnit, line, "%s: let a units.Set write the quantity", path)
		}
	}
	for _, text := range []string{
		`"%s kW"`, `" kW"`, `"%.2f m stands for"`, `"length, m"`, `"at 20 degC."`, `{{n2 .LengthM}} mm<`, "{{.X}} in w.c.\n", `"%g km/h, unless"`,
		`"10 K make"`,
	} {
		require.Regexp(t, withUnit, text)
	}
	for _, text := range []string{`"%d in all"`, `"CO %s ppm"`, `"%.1f points"`, `"%d of %d minutes"`} {
		require.NotRegexp(t, withUnit, text)
	}
}
