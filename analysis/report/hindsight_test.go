package report_test

import (
	"bytes"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/hindsight"
	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
)

// No line of the checklist is ever empty, with and without anything to say, and the
// items of the TRIPOD statement from the purpose (3) to the implications (20) all
// have an answer (2015; numbering from memory).
func TestHindsightChecklistIsComplete(t *testing.T) {
	for _, r := range []*hindsight.Result{{}, lookedBack()} {
		answered := map[string]bool{}
		for _, i := range words.HindsightChecklist(r) {
			require.NotEmpty(t, strings.TrimSpace(i.Asks))
			require.Greater(t, len(strings.TrimSpace(i.Says)), 20, i.Asks)
			require.NotContains(t, i.Says, "NaN", i.Asks)
			for item := range strings.SplitSeq(i.Items, ", ") {
				answered[item] = true
			}
		}
		for item := 3; item <= 20; item++ {
			require.True(t, answered[strconv.Itoa(item)], "item %d", item)
		}
	}
}

// lookedBack is a made-up look back whose simple rules are as good as the model.
func lookedBack() *hindsight.Result { return lookedBackAt(60) }

// lookedBackAt is a made-up look back of so many units.
func lookedBackAt(n int) *hindsight.Result {
	return lookedBackWith(n, func(i int) bool { return i%3 == 0 })
}

// lookedBackWith is one of which those units were found outside.
func lookedBackWith(n int, out func(i int) bool) *hindsight.Result {
	o := &hindsight.Origin{Day: 20000, Listed: n, Visited: n, WithFound: n}
	for i := range n {
		c := hindsight.Case{
			Origin: 20000, VisitDay: 20100, Serial: string(rune('A' + i)), Site: string(rune('a' + i%7)),
			Fire: "high", Control: "ratio <b>", Out: out(i),
		}
		for w := range c.Chance {
			c.Chance[w], c.Order[w] = float64(i)/60, float64(i)
		}
		o.Cases = append(o.Cases, c)
	}
	return hindsight.Judge([]*hindsight.Origin{o}, hindsight.Config{
		AsOf: 20514, HorizonDays: 365, CrewVisits: 10, Draws: 20,
		Seed: 1, StaleDays: 365,
	})
}

// The page says it where the model is not ahead, needs nothing else, has no
// script, and says nothing of the register as markup.
func TestHindsightPage(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, page.WriteHindsightPage(&b, lookedBack()))
	text := b.String()
	require.Contains(t, text, "On this fleet the forecast is not clearly better than days since the last visit")
	require.Contains(t, words.HindsightLine(lookedBack()), "not clearly better than days since the last visit")
	behind := lookedBack()
	behind.Decision.Verdict = hindsight.Behind
	require.Contains(t, words.HindsightLine(behind), "a simple rule puts units in a better order: days since the last visit")
	behind.Decision.Fresh, behind.Decision.Units = true, 240
	require.Contains(t, words.HindsightLine(behind), "on 240 units read within 90 days of a calibration")
	require.NotContains(t, text, "<b>")
	require.NotContains(t, text, "<script")
	require.NotContains(t, text, "NaN")
	require.Equal(t, 2, strings.Count(text, "<svg role="))
	b.Reset()
	require.NoError(t, page.WriteHindsightPage(&b, &hindsight.Result{}))
	require.Contains(t, b.String(), "no next visit has an as-found reading")
	require.False(t, math.IsNaN(lookedBack().Share))
}

// The first thing said is what the list was worth in units found, beside the plainest
// rule; of a handful nothing is.
func TestHindsightInOneSentence(t *testing.T) {
	require.Regexp(t, `^Of the first 6 units of past lists \d were found out of limits at their next visit; by last-visit date `+
		`it would have been \d. Hindsight of`, words.HindsightLine(lookedBackAt(60)))
	require.Regexp(t, `^Of the first .* it would have been \d\.$`, words.PastLists(words.HindsightLine(lookedBackAt(60))))
	require.Empty(t, words.PastLists(words.HindsightLine(lookedBackAt(40))))
	require.True(t, strings.HasPrefix(words.HindsightLine(lookedBackAt(40)), "Hindsight of"))
	require.True(t, strings.HasPrefix(words.HindsightLine(&hindsight.Result{}), "Hindsight of"))
}

// Of few looks no area under the curve is given, nor its interval, in the line, the
// page, the table and beside parts of the fleet; nothing is compared by it, and NaN
// stands nowhere, not where all were found inside either.
func TestHindsightOfFewLooks(t *testing.T) {
	for _, n := range []int{1, 2, 15, 35, 49} {
		r := lookedBackAt(n)
		line := words.HindsightLine(r)
		require.Contains(t, line, "too few cases ("+strconv.Itoa(n)+") for an area under the curve, 50 are needed; ")
		require.NotContains(t, line, "90 %")
		require.NotContains(t, line, "simple rule")
		require.Equal(t, hindsight.TooFew, r.Decision.Verdict)
		for _, row := range lists.Hindsight(r).Rows {
			if strings.Contains(row[2].String(), "area") {
				require.Empty(t, row[3].String()+row[4].String()+row[5].String(), row[2])
			}
		}
		requireNoNaN(t, r)
	}
	require.Contains(t, words.HindsightLine(lookedBackAt(1)), "1 unit, forecast on 1 day.")
	require.Contains(t, words.HindsightLine(lookedBackAt(50)), "area under the curve 0.")
	for _, out := range []bool{false, true} {
		r := lookedBackWith(60, func(int) bool { return out })
		require.Contains(t, words.HindsightLine(r), "no area under the curve, because all or none were found out of limits")
		require.Equal(t, hindsight.TooFew, r.Decision.Verdict)
		requireNoNaN(t, r)
	}
}

// requireNoNaN looks through everything that is written of a look back.
func requireNoNaN(t *testing.T, r *hindsight.Result) {
	t.Helper()
	var pages, csv bytes.Buffer
	require.NoError(t, page.WriteHindsightPage(&pages, r))
	require.NoError(t, table.WriteCSV(&csv, lists.Hindsight(r)))
	for _, text := range []string{words.HindsightLine(r), pages.String(), csv.String()} {
		require.NotContains(t, text, "NaN")
		require.NotContains(t, text, "Inf")
		require.NotContains(t, text, "1 units")
	}
}
