package watch

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fluedrift/model/judge"
)

// Every group has words of its own, and they find it, configured or not.
func TestGroupWords(t *testing.T) {
	r := testRules()
	r.GroupWords = map[Group]string{GoToday: "at once"}
	seen := map[string]bool{}
	for _, g := range Groups() {
		words := r.words(g)
		assert.NotEmpty(t, words)
		assert.False(t, seen[words], words)
		seen[words] = true
		for _, w := range []string{words, g.Words()} {
			found, ok := GroupOf(w, r)
			assert.True(t, ok)
			assert.Equal(t, g, found)
		}
	}
	_, ok := GroupOf("no such group", r)
	assert.False(t, ok)
	assert.Empty(t, Group(0).Words())
	assert.Empty(t, Group(6).Words())
	h := again(withCO(high(judge.AsLeft, 9.0), 900, judge.AirFree, ""))
	assert.Equal(t, "at once", Assess(h, r, nil).GroupWords)
}

// Usual words are replaced by configured ones; words for no group or two are refused.
func TestGroupWordsOf(t *testing.T) {
	words, err := GroupWordsOf(map[string]string{"go today": "at once"})
	require.NoError(t, err)
	assert.Equal(t, "at once", Config{GroupWords: words}.words(GoToday))
	_, err = GroupWordsOf(map[string]string{"at once": "x"})
	assert.ErrorContains(t, err, `"at once" is no group`)
	_, err = GroupWordsOf(map[string]string{"go today": "can wait"})
	assert.ErrorContains(t, err, "two groups")
}

// A unit stands in the first group that a ground asks for; one that comes after a group
// does not ask where another asks for that or an earlier one.
func TestTheFirstGroupThatFits(t *testing.T) {
	wait, book, ask := finding{group: CanWait}, finding{group: BookSooner}, finding{group: AskFirst}
	overdue, late := finding{group: TestOverdue}, finding{group: AskFirst, after: TestOverdue}
	for name, c := range map[string]struct {
		found []finding
		want  Group
	}{
		"nothing else":             {[]finding{wait}, CanWait},
		"the first":                {[]finding{book, ask, wait}, AskFirst},
		"asks where it would wait": {[]finding{late, wait}, AskFirst},
		"not where it is overdue":  {[]finding{overdue, late, wait}, TestOverdue},
		"not where it is booked":   {[]finding{book, late, wait}, BookSooner},
	} {
		var all []held
		for _, f := range c.found {
			all = append(all, held{finding: f})
		}
		assert.Equal(t, c.want, groupFor(all), name)
	}
}
