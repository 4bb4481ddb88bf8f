package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// walkStep is a place that a walk of the guide names: a file, and a symbol it declares
// after a colon. A SQL file has no symbols; there the text must occur.
var walkStep = regexp.MustCompile("`([a-z_0-9]+(?:/[a-z_0-9]+)+\\.(?:go|sql))(?::([\\w.]+))?`")

// The guide is short, and its walks lead past places that exist.
func TestGuideWalksExist(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "DEVELOPERS.md"))
	require.NoError(t, err)
	require.LessOrEqual(t, strings.Count(string(text), "\n"), 150, "lines of the guide")
	_, walks, ok := strings.Cut(string(text), "\n## Two walks\n")
	require.True(t, ok, "the guide has no walks")
	walks, _, _ = strings.Cut(walks, "\n## ")
	steps := walkStep.FindAllStringSubmatch(walks, -1)
	require.Greater(t, len(steps), 12)
	for _, s := range steps {
		path := filepath.Join("..", "..", filepath.FromSlash(s[1]))
		source, err := os.ReadFile(path)
		require.NoError(t, err, "a walk names %s", s[1])
		switch {
		case s[2] == "":
		case strings.HasSuffix(path, ".go"):
			require.True(t, declares(t, path, source, s[2]), "%s does not declare %s", s[1], s[2])
		default:
			require.Contains(t, string(source), s[2], s[1])
		}
	}
}

// declares reports whether a Go file declares a name, or a method or field as
// Type.Name.
func declares(t *testing.T, path string, source []byte, name string) bool {
	file, err := parser.ParseFile(token.NewFileSet(), path, source, parser.SkipObjectResolution)
	require.NoError(t, err)
	owner, member, dotted := strings.Cut(name, ".")
	for _, d := range file.Decls {
		switch d := d.(type) {
		case *ast.FuncDecl:
			if d.Recv == nil && !dotted && d.Name.Name == name || d.Recv != nil && dotted && receiver(d) == owner && d.Name.Name == member {
				return true
			}
		case *ast.GenDecl:
			for _, spec := range d.Specs {
				if specDeclares(spec, owner, member, dotted) {
					return true
				}
			}
		}
	}
	return false
}

// receiver is the name of a method's type.
func receiver(d *ast.FuncDecl) string {
	x := d.Recv.List[0].Type
	if star, ok := x.(*ast.StarExpr); ok {
		x = star.X
	}
	if id, ok := x.(*ast.Ident); ok {
		return id.Name
	}
	return ""
}

// specDeclares reports whether a type, constant or variable is named so, or a struct
// has the field.
func specDeclares(spec ast.Spec, owner, member string, dotted bool) bool {
	switch spec := spec.(type) {
	case *ast.ValueSpec:
		for _, id := range spec.Names {
			if id.Name == owner && !dotted {
				return true
			}
		}
	case *ast.TypeSpec:
		if spec.Name.Name != owner {
			return false
		}
		if !dotted {
			return true
		}
		if s, ok := spec.Type.(*ast.StructType); ok {
			for _, f := range s.Fields.List {
				for _, id := range f.Names {
					if id.Name == member {
						return true
					}
				}
			}
		}
	}
	return false
}

// Every test that a package's comment names beside a threat or a pitfall is one of
// the project's.
func TestCommentsNameTests(t *testing.T) {
	declared := map[string]bool{}
	function := regexp.MustCompile(`(?m)^func (Test\w+)\(`)
	root := filepath.Join("..", "..")
	require.NoError(t, filepath.WalkDir(root, func(path string, _ fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		source, err := os.ReadFile(path)
		for _, m := range function.FindAllSubmatch(source, -1) {
			declared[string(m[1])] = true
		}
		return err
	}))
	for file, least := range map[string]int{"cmd/fluedrift/night/doc.go": 15, "model/drift/pitfalls.go": 80} {
		text, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(file)))
		require.NoError(t, err)
		named := regexp.MustCompile(`\bTest[A-Z]\w+`).FindAllString(string(text), -1)
		require.GreaterOrEqual(t, len(named), least, file)
		for _, name := range named {
			require.True(t, declared[name], "%s: no test is called %s", file, name)
		}
	}
}
