package page

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/model/day"
)

// Texts of exports are shown as texts, whatever they hold; what nobody could read is
// said to be missing; the page asks nobody for anything.
func TestBeginningIsSafeAndWhole(t *testing.T) {
	var out strings.Builder
	require.NoError(t, WriteBeginning(&out, Beginning{
		Exports: "<script>alert(1)</script>", AsOf: day.None, Answers: "decisions.toml", Judgeable: []string{"2 units would be listed."},
		Questions: []BeginningQuestion{{
			Ask: "What is \"semi\"?", Evidence: []string{"x.csv:3"}, Choices: []string{"annual", "other"}, Guess: "not known",
			Wrong: []string{"your answer is none"}, Lines: []string{`"x" = ""`},
		}},
		Kinds: []BeginningFiles{{
			Names: "x.csv", Taken: "readings", Fates: []string{"3 of 3 lines accepted"}, Notes: []string{"a note"},
			Columns: []BeginningColumn{{Header: "<b>", Taken: "day", Sure: "a guess", Why: "by its header", Others: []string{"until"}, Doubt: true}},
			Lines:   []int{2, 3}, LinesOf: "x.csv",
			Rows: []BeginningRow{{Header: "Day", Field: "day", Cells: []BeginningCell{{"03/04", "2024-03-04"}, {"soon", ""}}}},
		}},
		Next: []string{"fluedrift nightly"},
	}))
	page := out.String()
	for _, said := range []string{
		"1 question is left", "One of: annual, other.", "Until it is answered: not known.", "x.csv:3", "your answer is none",
		"&#34;x&#34; = &#34;&#34;",
		"&lt;script&gt;", "<th scope=row class=cell>&lt;b&gt;", `<td class="sure out">a guess`, "<td>until",
		"Line 3", "2024-03-04", "<span class=y>missing</span>", "2 units would be listed.", "clears no boiler to run",
	} {
		require.Contains(t, page, said)
	}
	for _, never := range []string{"<script", "<b>day", "http://", "https://", "@import", "url("} {
		require.NotContains(t, page, never)
	}
}
