package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/cmd/fluedrift/settings"
)

// installed finds a program of the machine, and skips what needs it where there is
// none.
func installed(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("%s is not installed here", name)
	}
	return path
}

// readsPage gives a page of help to a program of the machine that reads it from a
// file, and returns what it says.
func readsPage(t *testing.T, page string, command ...string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "page")
	require.NoError(t, os.WriteFile(file, []byte(page), 0o644))
	c := exec.Command(installed(t, command[0]), append(command[1:], file)...)
	c.Env = append(os.Environ(), "LC_ALL=C.UTF-8")
	said, err := c.CombinedOutput()
	require.False(t, err != nil && len(said) == 0, "%v: %v", command, err)
	return string(said)
}

// The manual page names each command, flag, key and exit code with what the tables
// say of it.
func TestManualPageIsTheTables(t *testing.T) {
	page := runCommand(t, 0, "help", "man")
	for _, c := range commands {
		assert.Contains(t, page, "\n.SS "+roff(strings.TrimSpace(c.name+" "+c.args))+"\n"+roff(c.brief)+"\n")
		for _, f := range completedFlags(c.name) {
			assert.Regexp(t, `\n\.BI \\-`+regexp.QuoteMeta(roff(f.name))+`( ".*")?\n`, page)
			assert.Contains(t, page, roff(f.brief))
		}
	}
	settings.EachKey(func(name, _, meaning string) {
		require.NotEmpty(t, meaning, name)
		assert.Contains(t, page, "\n.B "+roff(name)+"\n")
		assert.Contains(t, page, roff(meaning))
	})
	for _, e := range settings.Endings {
		assert.Regexp(t, `\n\.B `+regexp.QuoteMeta(strconv.Itoa(int(e.Condition)))+`\n`, page)
		assert.Contains(t, page, roff(e.When))
	}
	for line := range strings.Lines(page) {
		assert.Regexp(t, `^(\.(TH|SH|SS|TP|B|BI|br)\b|[^.'])`, line, "text that would be taken for a request")
	}
}

// Two readers of manual pages that are not ours find nothing wrong with it, and show
// the signs a reader has to type as they are.
func TestManualPageIsReadElsewhere(t *testing.T) {
	page := runCommand(t, 0, "help", "man")
	t.Run("groff", func(t *testing.T) {
		said := readsPage(t, page, "groff", "-man", "-ww", "-Tutf8", "-P-cbou", "-rLL=200n", "-z")
		assert.Empty(t, said)
	})
	t.Run("mandoc", func(t *testing.T) {
		said := readsPage(t, page, "mandoc", "-T", "lint", "-W", "warning")
		assert.Empty(t, regexp.MustCompile(`(?m)^.*missing date.*\n?`).ReplaceAllString(said, ""))
		text := readsPage(t, page, "mandoc", "-T", "utf8", "-O", "width=500")
		text = regexp.MustCompile(`.\x08`).ReplaceAllString(text, "")
		for _, want := range []string{"yyyy-mm-dd", "-as-of day", "plan.interval_months", `[gases."name"]`} {
			assert.Contains(t, text, want)
		}
	})
}

func TestRoffKeepsTextAsItIs(t *testing.T) {
	assert.Equal(t, `\&.TH a\e\-b`, roff(`.TH a\-b`))
	assert.Equal(t, `\&'x \(ga \(ti \(ha`, roff("'x\n` ~ ^"))
}

// A shell offers what stands in the tables: the commands, the flags of each, the values
// of a flag that has few, and what help has pages on.
func TestCompletionInBash(t *testing.T) {
	offer := bashOffers(t)
	assert.Equal(t, commandNames(), offer("fluedrift", ""))
	assert.Equal(t, []string{"hindsight", "help"}, offer("fluedrift", "h"))
	for _, c := range commands {
		var flags []string
		for _, f := range completedFlags(c.name) {
			flags = append(flags, "-"+f.name)
			if f.words != nil {
				assert.Equal(t, f.words, offer("fluedrift", c.name, "-"+f.name, ""))
			}
		}
		if flags != nil {
			assert.Equal(t, flags, offer("fluedrift", c.name, "-"))
		}
	}
	assert.Equal(t, helpWords(), offer("fluedrift", "help", ""))
	assert.Equal(t, completions.names(), offer("fluedrift", "help", "completion", ""))
	assert.Equal(t, scheduleFiles.names(), offer("fluedrift", "help", "schedule", ""))
	assert.Equal(t, []string{"exports/"}, offer("fluedrift", "inspect", "-o", "ex"), "a path where a flag wants one")
}

// bashOffers returns what the shell would offer for the last of some words, in a folder
// that holds the folder exports.
func bashOffers(t *testing.T) func(words ...string) []string {
	bash := installed(t, "bash")
	dir := t.TempDir()
	script := filepath.Join(dir, "completion")
	require.NoError(t, os.WriteFile(script, []byte(runCommand(t, 0, "help", "completion", "bash")), 0o644))
	require.NoError(t, os.Mkdir(filepath.Join(dir, "exports"), 0o755))
	return func(words ...string) []string {
		run := exec.Command(bash, append([]string{"--norc", "-uc", `source "$0"; COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _fluedrift
for w in "${COMPREPLY[@]}"; do [ -d "$w" ] && w=$w/; printf "%s\\n" "$w"; done`, script}, words...)...)
		run.Dir = dir
		said, err := run.CombinedOutput()
		require.NoError(t, err, "%v: %s", words, said)
		return strings.Fields(string(said))
	}
}

// The other shells read their scripts, and fish offers the commands.
func TestCompletionInOtherShells(t *testing.T) {
	t.Run("zsh", func(t *testing.T) {
		page := runCommand(t, 0, "help", "completion", "zsh")
		assert.Empty(t, readsPage(t, page, "zsh", "-f", "-n"))
		for _, c := range commands {
			for _, f := range completedFlags(c.name) {
				assert.Contains(t, page, "'-"+f.name+"[")
			}
		}
	})
	t.Run("fish", func(t *testing.T) {
		page := runCommand(t, 0, "help", "completion", "fish")
		assert.Empty(t, readsPage(t, page, "fish", "--no-config", "-n"))
		said := readsPage(t, page+"complete -C 'fluedrift '\necho ==\ncomplete -C 'fluedrift nightly -'\n", "fish", "--no-config")
		offered, flags, _ := strings.Cut(said, "==\n")
		var names []string
		for line := range strings.Lines(offered) {
			name, _, _ := strings.Cut(line, "\t")
			names = append(names, name)
		}
		assert.Subset(t, names, commandNames())
		for _, f := range completedFlags("nightly") {
			assert.Contains(t, flags, "-"+f.name+"\t")
		}
	})
}

// help schedule prints every file as it is installed, with its name over it, and each
// alone by that name.
func TestEachFileOfTheScheduleAlone(t *testing.T) {
	page := runCommand(t, 0, "help", "schedule")
	for _, one := range scheduleFiles {
		text := runCommand(t, 0, "help", "schedule", one.name)
		assert.NotEmpty(t, text)
		assert.Contains(t, page, text, one.name)
		where := "/etc/systemd/system/" + one.name
		if name, cron := strings.CutSuffix(one.name, ".cron"); cron {
			where = "/etc/cron.d/" + name
		}
		assert.Contains(t, page, where)
	}
	runCommand(t, exitUsage, "help", "schedule", "fluedrift.socket")
	runCommand(t, exitUsage, "help", "completion")
	runCommand(t, exitUsage, "help", "completion", "bash", "zsh")
}

// The forms of a result are those that each command writes.
func TestEveryFormOfAResult(t *testing.T) {
	t.Chdir(t.TempDir())
	for _, c := range commands {
		require.Equal(t, strings.Contains(flagUse[c.name], "format"), resultForms[c.name] != nil, c.name)
		for _, form := range append(resultForms[c.name], "?") {
			if resultForms[c.name] == nil {
				continue
			}
			var out, errs bytes.Buffer
			run(context.Background(), []string{c.name, "-format", form}, quietStreams(&out, &errs))
			assert.Equal(t, form == "?", strings.Contains(errs.String(), "is none of"), "%s -format %s: %s", c.name, form, errs.String())
		}
	}
	forms := []string{"text"}
	for _, f := range daysForms {
		forms = append(forms, f.format)
	}
	assert.ElementsMatch(t, resultForms["days"], forms)
}
