package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// byInterface are methods that packages outside the project call: those of errors,
// logs, drawings, files and database rows.
var byInterface = []string{
	"DataRange", "Enabled", "Err", "Error", "Handle", "Next", "Plot", "Read", "ReadByte", "Record", "Release", "Retain", "Schema", "SetWidth",
	"String",
	"Thumbnail", "Ticks", "Token", "UnmarshalTOML", "Unwrap", "WithAttrs", "WithGroup",
}

// A function or a method is exported where another package calls it, or an example
// shows it, or a page. What only the tests of its own package need stands in
// export_test.go. Methods are told apart by their names alone. The data sets serve
// tests, and are left aside.
func TestExportedIsUsedElsewhere(t *testing.T) {
	s := exports{declared: map[exported]bool{}, used: map[string][]string{}}
	root := filepath.Join("..", "..")
	require.NoError(t, filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		from, err := filepath.Rel(root, filepath.Dir(path))
		if err != nil {
			return err
		}
		switch filepath.Ext(path) {
		case ".go":
			return s.readGo(path, filepath.ToSlash(from))
		case ".html":
			return s.readPage(path)
		}
		return nil
	}))
	var idle []string
	for d := range s.declared {
		if !slices.ContainsFunc(s.used[d.key()], func(from string) bool { return from != d.from }) {
			idle = append(idle, d.from+": "+d.what)
		}
	}
	slices.Sort(idle)
	require.Empty(t, idle)
}

// exports is what packages export, and what is used of it.
type exports struct {
	declared map[exported]bool
	used     map[string][]string // by key, the packages that use it
}

// exported is a function or a method of a package.
type exported struct {
	from, what string
	method     bool
}

// key is what a use is found by.
func (e exported) key() string {
	if e.method {
		return e.what
	}
	return e.from + "." + e.what
}

// readPage notes the methods that a page calls by their names.
func (s *exports) readPage(path string) error {
	text, err := os.ReadFile(path)
	for _, m := range regexp.MustCompile(`\.([A-Z]\w*)`).FindAllSubmatch(text, -1) {
		s.used[string(m[1])] = append(s.used[string(m[1])], path)
	}
	return err
}

// readGo notes what a file of a package exports, and what it uses of others.
func (s *exports) readGo(file, from string) error {
	parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.SkipObjectResolution)
	if err != nil {
		return err
	}
	if !strings.HasSuffix(file, "_test.go") && !strings.HasPrefix(from, "datasets/") {
		s.addExported(parsed, from)
	}
	if strings.HasSuffix(file, "example_test.go") {
		from += ", its example"
	}
	imported := map[string]string{}
	for _, i := range parsed.Imports {
		whole := strings.TrimPrefix(strings.Trim(i.Path.Value, `"`), "fluedrift/")
		as := path.Base(whole)
		if i.Name != nil {
			as = i.Name.Name
		}
		imported[as] = whole
	}
	ast.Inspect(parsed, func(n ast.Node) bool {
		if selected, ok := n.(*ast.SelectorExpr); ok {
			what := selected.Sel.Name
			s.used[what] = append(s.used[what], from)
			if x, ok := selected.X.(*ast.Ident); ok && imported[x.Name] != "" {
				what = imported[x.Name] + "." + what
				s.used[what] = append(s.used[what], from)
			}
		}
		return true
	})
	return nil
}

// addExported notes the exported functions and methods of a file.
func (s *exports) addExported(file *ast.File, from string) {
	for _, d := range file.Decls {
		f, ok := d.(*ast.FuncDecl)
		if !ok || !f.Name.IsExported() || f.Recv != nil && slices.Contains(byInterface, f.Name.Name) {
			continue
		}
		s.declared[exported{from, f.Name.Name, f.Recv != nil}] = true
	}
}
