package layout

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// withSteps is the worked example of a register with steps, which begin in line 9.
func withSteps(t *testing.T, steps string) string {
	return strings.Replace(example(t, Units), "[[column]]", strings.TrimSpace(steps)+"\n[[column]]", 1)
}

// TestWrongSteps: a step that cannot be done is an error that names its line.
func TestWrongSteps(t *testing.T) {
	for _, c := range []struct{ step, want string }{
		{
			"do = \"fill_up\"",
			`x.toml:9: step fill_up: do "fill_up" is not one of fill_down, separate, unite, first_filled, missing_where, leave_out, from_name, ` +
				`from_title, heading_rows, pivot_wider, lookup, join, in_ranges, keep_latest`,
		},
		{"do = \"fill_down\"", "x.toml:9: step fill_down: it needs columns"},
		{"do = \"fill_down\"\ncolumns = [\"A\"]\npatterns = \"(?P<a>x)\"", "x.toml:9: step fill_down: patterns is not for it; it takes columns"},
		{"do = \"fill_down\"\ncolumns = [\" \"]", "x.toml:9: step fill_down: a column needs the header it has in the file"},
		{"do = \"separate\"\ncolumn = \"A\"\npatterns = \"(\"", `x.toml:9: step separate: pattern "(" is not a regular expression`},
		{"do = \"separate\"\ncolumn = \"A\"\npatterns = \"x\"", `x.toml:9: step separate: pattern "x" names no part`},
		{"do = \"separate\"\ncolum = \"A\"", `x.toml:11: unknown key "step.colum"` + "\n[step] has the keys do, column,"},
		{
			"do = \"separate\"\ncolumn = \"A\"\npatterns = '(?P<a>x)'\n[[step]]\ndo = \"separate\"\ncolumn = \"B\"\npatterns = '(?P<A>x)'",
			`x.toml:13: step separate: it makes the column "A", and so does an earlier step (separate)`,
		},
	} {
		_, err := Parse("x.toml", withSteps(t, "[[step]]\n"+c.step))
		if assert.Error(t, err, c.step) {
			assert.True(t, strings.HasPrefix(err.Error(), c.want), "%v\nwant %s", err, c.want)
		}
	}
}

// TestSources: what a column is made from, through several steps.
func TestSources(t *testing.T) {
	l, err := Parse("x.toml", withSteps(t, `
[[step]]
do = "separate"
column = "Notes"
patterns = '(?P<who>\w+): (?P<rest>.*)'
[[step]]
do = "separate"
column = "rest"
patterns = '(?P<line>.*)'`))
	require.NoError(t, err)
	assert.Equal(t, []string{"Notes"}, l.Sources("Line"))
	assert.Equal(t, []string{"Boiler"}, l.Sources("Boiler"))
	assert.True(t, l.Feeds("notes", "model_line"))
	assert.False(t, l.Feeds("Site", "model_line"))
	assert.Equal(t, []string{"Notes", "rest"}, l.Spent())
}
