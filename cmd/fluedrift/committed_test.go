package main

import (
	"bytes"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// root is the project's folder, seen from here.
const root = "../.."

// projectFiles lists the files of the project by slashed path from its root:
// those git keeps or would keep, and where there is no git all but hidden ones.
func projectFiles(t *testing.T) (names []string) {
	t.Helper()
	list := exec.Command("git", "ls-files", "-z", "--cached", "--others", "--exclude-standard")
	list.Dir = root
	if out, err := list.Output(); err == nil && len(out) > 0 {
		for name := range bytes.SplitSeq(bytes.TrimRight(out, "\x00"), []byte{0}) {
			if _, err := os.Lstat(filepath.Join(root, string(name))); err == nil { // not one just deleted
				names = append(names, string(name))
			}
		}
		return names
	}
	require.NoError(t, filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err == nil && d.IsDir() && strings.HasPrefix(d.Name(), ".") && d.Name() != ".ci" && path != root {
			return fs.SkipDir
		}
		if err == nil && !d.IsDir() {
			name, err := filepath.Rel(root, path)
			names = append(names, filepath.ToSlash(name))
			return err
		}
		return err
	}))
	return names
}

// machinePath is a path that only one machine has: a source file by its absolute
// path, or anything under a folder where people work.
var machinePath = regexp.MustCompile(`(^|[^\w.])/(\S+\.go:\d+|(home|root|tmp|Users|work|build|workspace)/\S*)`)

// A draw that failed once is kept for the next run to begin with. What it says
// beside the draw comes from the machine it failed on and stays there.
func TestKeptFailuresNameNoMachine(t *testing.T) {
	for _, bad := range []string{"# /home/someone/x/parse_test.go:12: want 3", "    /src/x_test.go:8: boom", "panic in /tmp/x"} {
		require.Regexp(t, machinePath, bad)
	}
	require.NotRegexp(t, machinePath, "go test fuzz v1\n[]byte(\"1/2/2020;3.5\\n\")")
	for _, name := range projectFiles(t) {
		if !strings.Contains(name, "testdata/fuzz/") && !strings.Contains(name, "testdata/rapid/") && !strings.HasSuffix(name, ".fail") {
			continue
		}
		text, err := os.ReadFile(filepath.Join(root, name))
		require.NoError(t, err)
		require.False(t, machinePath.Match(text), "%s names a path of a machine: %q", name, machinePath.Find(text))
	}
}
