package layout

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/require"
)

// printed writes a layout back as TOML.
func printed(t *testing.T, l *Layout) string {
	t.Helper()
	var b strings.Builder
	require.NoError(t, toml.NewEncoder(&b).Encode(l))
	return b.String()
}

// declared is what a layout says, without where it says it.
func declared(l *Layout) Layout {
	c := *l
	c.Path, c.Footers = "", nil
	c.Columns, c.Fixed = nil, nil
	for _, x := range append(append([]Column{}, l.Columns...), l.Fixed...) {
		x.Line = 0
		c.Columns = append(c.Columns, x)
	}
	c.Steps = nil
	for _, s := range l.Steps {
		s.Line, s.Exprs = 0, nil // they follow from the patterns
		c.Steps = append(c.Steps, s)
	}
	return c
}

// FuzzLayout: no panic; an error names the file; what parses and is printed
// parses again to the same.
func FuzzLayout(f *testing.F) {
	doc, err := os.ReadFile("doc.go")
	require.NoError(f, err)
	for _, heading := range []string{"example of the long form", "example of the wide form"} {
		_, text, _ := strings.Cut(string(doc), heading)
		var b strings.Builder
		for line := range strings.Lines(text) {
			if code, ok := strings.CutPrefix(line, "//\t"); ok {
				b.WriteString(code)
			}
			if strings.HasPrefix(line, "// # ") {
				break
			}
		}
		f.Add(b.String())
		f.Add(strings.Replace(b.String(), "[match]", "[constants]\nreason = \"annual\"\nair_temp = \"20\"\n[match]\ncolumns = [\"a\"]", 1))
	}
	small, _ := filepath.Glob("../../cmd/fluedrift/testdata/small/layouts/*.toml")
	for _, p := range small {
		text, err := os.ReadFile(p)
		require.NoError(f, err)
		f.Add(string(text))
	}
	f.Add("name = \"a\"\nrecord = \"plants\"\nsource = \"s\"\n[match]\nnames = [\"*\"]\n[file]\nsheet = 2\nquote = \"\"\n" +
		"skip = [\"^#\"]\nskip_lines = [2, 3]\n[[column]]\nheader = \"P\"\nfield = \"plant\"\n[[column]]\nheader = \"S\"\n" +
		"field = \"serial\"\nmissing = []\n")
	for _, e := range Examples() {
		f.Add(e.Layout)
	}
	f.Fuzz(func(t *testing.T, text string) {
		l, err := Parse("x.toml", text)
		if err != nil {
			if !strings.HasPrefix(err.Error(), "x.toml") {
				t.Fatalf("the error does not name the file: %v", err)
			}
			return
		}
		again, err := Parse("y.toml", printed(t, l))
		if err != nil {
			t.Fatalf("printed, it does not parse: %v\n%s", err, printed(t, l))
		}
		if a, b := declared(l), declared(again); !reflect.DeepEqual(a, b) {
			t.Fatalf("printed, it means something else:\n%+v\n%+v", a, b)
		}
	})
}
