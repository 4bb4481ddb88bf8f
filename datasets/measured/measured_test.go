package measured

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write README.md anew from the files")

// Every file has the columns, every row an origin, every value is a number.
func TestRowsHaveTheirForm(t *testing.T) {
	names := Subjects()
	require.NotEmpty(t, names)
	for _, name := range names {
		rows, err := Rows(name)
		require.NoError(t, err)
		require.NotEmpty(t, rows, name)
		for _, r := range rows {
			require.Regexp(t, `^([0-9a-f]{7,40}\+?|unknown)$`, r.Commit, name)
			require.NotRegexp(t, `/(root|home|tmp|work)/`, r.Command+r.Machine, "%s names a folder of a machine", name)
		}
	}
}

// The README is what the files make.
func TestReadmeFollowsTheFiles(t *testing.T) {
	if *update {
		require.NoError(t, writeReadme("."))
	}
	texts := map[string]string{}
	for _, name := range Subjects() {
		text, err := os.ReadFile(name + ".csv")
		require.NoError(t, err)
		texts[name] = string(text)
	}
	want, err := render(texts)
	require.NoError(t, err)
	got, err := os.ReadFile("README.md")
	require.NoError(t, err)
	require.Equal(t, want, string(got), "run go test ./datasets/measured -update")
}

// Keeping replaces a test's own rows where they stood and no others.
func TestKeepReplacesOwnRows(t *testing.T) {
	folder := t.TempDir()
	for _, s := range subjects {
		rows := []Row{
			{Figure{"a", "share", "0.9", "10", "", ""}, "go test -run One -v ./a", "abcdef123", "2 cores"},
			{Figure{"b", "share", "0.8", "10", "", ""}, "go test -run Two -v ./a", "abcdef123", "2 cores"},
		}
		require.NoError(t, os.WriteFile(filepath.Join(folder, s.name+".csv"), format(rows), 0o644))
	}
	origin := Row{Command: "FLUEDRIFT_FLEETS=3 go test -run 'One$' -v ./a", Commit: "1234567", Machine: "4 cores"}
	require.NoError(t, keep(folder, "ranks", origin, []Figure{{Case: "c", Figure: "share", Value: "0.7", Bound: "at least 0.5"}}))
	text, err := os.ReadFile(filepath.Join(folder, "ranks.csv"))
	require.NoError(t, err)
	rows, err := parse("ranks.csv", string(text))
	require.NoError(t, err)
	require.Equal(t, []Row{
		{Figure{"c", "share", "0.7", "", "", "at least 0.5"}, "FLUEDRIFT_FLEETS=3 go test -run 'One$' -v ./a", "1234567", "4 cores"},
		{Figure{"b", "share", "0.8", "10", "", ""}, "go test -run Two -v ./a", "abcdef123", "2 cores"},
	}, rows)
	readme, err := os.ReadFile(filepath.Join(folder, "README.md"))
	require.NoError(t, err)
	require.Contains(t, string(readme), "| c | share | 0.7 [at least 0.5] |")

	require.ErrorContains(t, keep(folder, "ranks", origin, []Figure{{Case: "c", Figure: "share", Value: "many"}}), `"many" is not a number`)
	require.ErrorContains(t, keep(folder, "ranks", origin, []Figure{{Figure: "share", Value: "1"}}), `column "case" is empty`)
}

// A row that breaks the form is named with its line.
func TestBrokenRowsAreNamed(t *testing.T) {
	for _, c := range []struct{ text, fault string }{
		{"case,value\na,1\n", "the heading is not"},
		{"case,figure,value,of,error,bound,command,commit,machine\na,f,x,,,,c,d,m\n", `x.csv:2: column "value": "x" is not a number`},
		{"case,figure,value,of,error,bound,command,commit,machine\na,f,1,,,,,d,m\n", `x.csv:2: column "command" is empty`},
	} {
		_, err := parse("x.csv", c.text)
		require.ErrorContains(t, err, c.fault)
	}
}
