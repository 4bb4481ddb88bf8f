package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fluedrift/cmd/fluedrift/settings"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite what the documents show with what the program prints")

// session is what README shows of the program: each command with the lines
// that are kept of its output.
var session = []struct {
	args  string
	first int // lines shown from the top, 0 for all
	code  int
}{
	{"demo -q", 6, exitDone},
	{"unit -config demo/fluedrift.toml KB-002631-F5", 7, exitDone},
}

// width is where README cuts a line.
const width = 160

// What README shows is what the program prints.
func TestReadmeSession(t *testing.T) {
	if !long() && !*update {
		t.Skip("the demo's whole fleet: in the long suite, and a step of .ci/run")
	}
	readme, err := filepath.Abs("../../README.md")
	require.NoError(t, err)
	text, err := os.ReadFile(readme)
	require.NoError(t, err)
	const begin, end = "```console\n", "```\n<!-- end of session -->"
	from := bytes.Index(text, []byte(begin)) + len(begin)
	to := bytes.Index(text, []byte(end))
	require.Greater(t, to, from-1, "README has no session")

	t.Chdir(t.TempDir())
	var shown strings.Builder
	for _, c := range session {
		var out, errs bytes.Buffer
		require.Equal(t, c.code, run(context.Background(), arguments(c.args), quietStreams(&out, &errs)), "%s: %s", c.args, errs.String())
		fmt.Fprintf(&shown, "$ fluedrift %s\n", c.args)
		lines := strings.Split(strings.TrimRight(strings.ReplaceAll(out.String(), "\r\n", "\n"), "\n"), "\n")
		for i, l := range lines {
			if c.first > 0 && i == c.first {
				shown.WriteString("...\n")
				break
			}
			if r := []rune(l); len(r) > width {
				l = string(r[:width]) + " ..."
			}
			shown.WriteString(strings.TrimRight(l, " ") + "\n")
		}
	}
	if *update {
		require.NoError(t, os.WriteFile(readme, []byte(string(text[:from])+shown.String()+string(text[to:])), 0o644))
		return
	}
	require.Equal(t, shown.String(), string(text[from:to]), "README is behind: go test ./cmd/fluedrift -run Readme -update")
}

// arguments splits a command line; quotes keep blanks.
func arguments(line string) (all []string) {
	for i, part := range strings.Split(line, "'") {
		if i%2 == 1 {
			all = append(all, part)
			continue
		}
		all = append(all, strings.Fields(part)...)
	}
	return all
}

// README stays short, names every exit code and leads with the job.
func TestReadmeIsShortAndComplete(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	require.LessOrEqual(t, bytes.Count(text, []byte("\n")), 120)
	for _, c := range settings.Endings {
		require.Regexp(t, fmt.Sprintf(`(?m)^\|.*\b%d\b.*\|`, c.Condition), string(text), "exit code %d", c.Condition)
	}
}
