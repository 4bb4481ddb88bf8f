package watch

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// Group is what a line asks of a service manager; a smaller group stands above a
// larger one. A unit stands in the first group that one of its grounds asks for.
type Group int

// The groups from the top.
const (
	GoToday     Group = iota + 1 // CO is urgent
	AskFirst                     // one answer decides whether anybody has to drive
	BookSooner                   // a visit now avoids enough days out of limits, or has to be made
	TestOverdue                  // no visit within the interval
	CanWait                      // for its planned visit
)

// groupWords are the words of the groups, from the top.
var groupWords = [...]string{"go today", "ask before driving", "book sooner", "test overdue", "can wait"}

// Groups lists all groups from the top.
func Groups() []Group {
	all := make([]Group, len(groupWords))
	for i := range all {
		all[i] = Group(i + 1)
	}
	return all
}

// Words returns a group's words on the list, where the configuration has no others;
// "" for what is no group.
func (g Group) Words() string {
	if g < 1 || int(g) > len(groupWords) {
		return ""
	}
	return groupWords[g-1]
}

// GroupOf finds a group by its usual or its configured words, false where there is
// none.
func GroupOf(words string, rules Config) (Group, bool) {
	for _, g := range Groups() {
		if rules.words(g) == words || g.Words() == words {
			return g, true
		}
	}
	return 0, false
}

// GroupWordsOf reads configured words: by a group's usual words, those to use on the
// list instead. Words that name no group, and words for two groups, are errors.
func GroupWordsOf(words map[string]string) (map[Group]string, error) {
	out := map[Group]string{}
	for _, usual := range slices.Sorted(maps.Keys(words)) {
		g, ok := GroupOf(usual, Config{})
		if !ok {
			return nil, fmt.Errorf("%q is no group\nthe groups: %s", usual, strings.Join(groupWords[:], ", "))
		}
		out[g] = strings.TrimSpace(words[usual])
	}
	seen := map[string]Group{}
	for _, g := range Groups() {
		w := Config{GroupWords: out}.words(g)
		if other, ok := seen[w]; ok {
			return nil, fmt.Errorf("%q would name two groups: %q and %q", w, other.Words(), g.Words())
		}
		seen[w] = g
	}
	return out, nil
}
