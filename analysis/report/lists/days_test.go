package lists

import (
	"bytes"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fluedrift/analysis/days"
	"fluedrift/analysis/watch"
	"fluedrift/model/judge"
)

// Folding loses nothing, whatever the text.
func TestCalendarFolding(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.String().Draw(t, "value")
		value = strings.NewReplacer("\r", "", "\n", "").Replace(value)
		var b bytes.Buffer
		line := &watch.Line{Unit: judge.Unit{Serial: "007"}, GroupWords: "test overdue"}
		stop := days.Stop{Site: "Mill Lane; north", Area: value, Begin: 510, Leave: 625, Visits: []days.Visit{{Line: line}}}
		p := &days.Plan{AsOf: 20514, Days: []days.CrewDay{{Crew: "A", Day: 20515, Stops: []days.Stop{stop}}}}
		require.NoError(t, WriteDaysCalendar(&b, p))
		for line := range strings.SplitSeq(b.String(), "\r\n") {
			require.LessOrEqual(t, len(line), 75)
			require.True(t, utf8.ValidString(line))
		}
		require.Contains(t, strings.ReplaceAll(b.String(), "\r\n ", ""),
			"\r\nLOCATION:"+escapeText(strings.Trim("Mill Lane; north, "+value, ", "))+"\r\n")
	})
}
