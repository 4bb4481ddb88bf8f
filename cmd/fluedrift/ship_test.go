package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/cmd/fluedrift/settings"
)

// repositoryText is a file of the repository.
func repositoryText(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", filepath.FromSlash(name)))
	require.NoError(t, err)
	return string(text)
}

// firsts are the first groups of all matches in a text.
func firsts(pattern, text string) (all []string) {
	for _, m := range regexp.MustCompile(pattern).FindAllStringSubmatch(text, -1) {
		all = append(all, m[1])
	}
	return all
}

// go.mod says of every module that the project itself imports what it is for, and its
// licence.
func TestModulesAreJustified(t *testing.T) {
	direct := firsts(`(?m)^\t(\S+) v\S+(?: // .*)?$`, strings.ReplaceAll(repositoryText(t, "go.mod"), "// indirect", "indirect"))
	require.NotEmpty(t, direct)
	assert.Equal(t, direct, firsts(`(?m)^\t(\S+) v\S+ // \S.{10,}; [A-Z]\S+$`, repositoryText(t, "go.mod")), "go.mod says what each is for")
}

// What is shipped comes from the program's own tables: each file of the schedule and
// each shell's completion is put where it belongs, under the version that stands in the
// change log.
func TestShipPutsEveryPart(t *testing.T) {
	script := repositoryText(t, ".ci/ship")
	assert.Equal(t, []string{"man"}, firsts(`(?m)^put share/man/man1/fluedrift\.1 (\S+)$`, script))
	for _, shell := range completions.names() {
		assert.Regexp(t, `(?m)^put share/\S+ completion `+shell+`$`, script)
	}
	for _, file := range scheduleFiles.names() {
		assert.Regexp(t, `\b`+regexp.QuoteMeta(file)+`\b`, script)
	}
	pattern := `(?m)^\t\{"([0-9.]*)", [0-9]*, \[\]Entry\{$` // as the script's sed has it
	assert.Contains(t, script, `'s/^\t{"\([0-9.]*\)", [0-9]*, \[\]Entry{$/\1/p'`)
	assert.Equal(t, settings.Releases[0].Version, firsts(pattern, repositoryText(t, "cmd/fluedrift/settings/changes.go"))[0])
	assert.Contains(t, script, "-X main.stamped=$version")
}

// The container runs the command of the service, as a user who is not root, in the same
// folders, and is built with the Go of go.mod.
func TestContainerIsTheService(t *testing.T) {
	file := repositoryText(t, ".ci/Containerfile")
	_, stage, ok := strings.Cut(file, "\nFROM gcr.io/")
	require.True(t, ok)
	start := firsts(`(?m)^ExecStart=(.*)$`, serviceUnit)
	words := append(firsts(`(?m)^ENTRYPOINT \["(.*)"\]$`, stage), strings.Split(firsts(`(?m)^CMD \["(.*)"\]$`, stage)[0], `", "`)...)
	assert.Equal(t, start, []string{strings.Join(words, " ")})
	assert.Equal(t, firsts(`(?m)^WorkingDirectory=(.*)$`, serviceUnit), firsts(`(?m)^WORKDIR (.*)$`, stage))
	assert.Equal(t, []string{"65532:65532"}, firsts(`(?m)^USER (.*)$`, stage))
	for folder := range strings.FieldsSeq(firsts(`(?m)^ReadOnlyPaths=(.*)$`, serviceUnit)[0]) {
		assert.Contains(t, file, " -v "+folder+":"+folder+":ro ")
	}
	release := firsts(`(?m)^go (\d+\.\d+)`, repositoryText(t, "go.mod"))[0]
	assert.Contains(t, file, "FROM docker.io/library/golang:"+release+"-")
}
