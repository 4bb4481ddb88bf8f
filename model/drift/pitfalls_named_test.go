package drift

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every test that the list of pitfalls names is one of the project's.
func TestPitfallsNameTests(t *testing.T) {
	text, err := os.ReadFile("pitfalls.go")
	require.NoError(t, err)
	declared := map[string]bool{}
	function := regexp.MustCompile(`(?m)^func (Test\w+)\(`)
	err = filepath.WalkDir(filepath.Join("..", ".."), func(path string, e fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		source, err := os.ReadFile(path)
		for _, m := range function.FindAllSubmatch(source, -1) {
			declared[string(m[1])] = true
		}
		return err
	})
	require.NoError(t, err)
	named := regexp.MustCompile(`\bTest[A-Z]\w+`).FindAllString(string(text), -1)
	require.Greater(t, len(named), 80)
	for _, name := range named {
		require.True(t, declared[name], "no test is called %s", name)
	}
}
