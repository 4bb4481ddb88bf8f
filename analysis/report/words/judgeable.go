package words

import (
	"fmt"
	"strings"

	"fluedrift/analysis/watch"
)

// Judgeable says of a list that is not made yet what it could and could not judge.
func Judgeable(s *watch.Summary, habits []watch.Habit) (sentences []string) {
	first := Units(s.Listed) + " would be listed"
	if s.Removed > 0 {
		first += fmt.Sprintf("; %d recorded as removed would not", s.Removed)
	}
	sentences = append(sentences, first+".")
	for _, l := range s.Missing {
		sentences = append(sentences, lacks[l])
	}
	sentences = append(sentences, notJudged(s)...)
	for i := range habits {
		if h := habit(&habits[i]); h != "" {
			sentences = append(sentences, h)
		}
	}
	return sentences
}

// leastHabit is the share in percent from which it is said that records lack something.
const leastHabit = 5

// habit says what the records of a source lack; "" where they lack little.
func habit(h *watch.Habit) string {
	var parts []string
	for _, p := range []struct {
		n, of int
		what  string
	}{
		{h.NoLeft, h.Fires, "fires read do not say what was left"},
		{h.NoFound, h.Fires, "fires read do not say what was found"},
		{h.NoCO, h.Readings, "readings have no CO"},
		{h.NoAnalyzer, h.Visits, "visits name no analyzer"},
	} {
		if share := watch.Share(p.n, p.of); share >= leastHabit {
			parts = append(parts, fmt.Sprintf("%d of %d %s (%.0f %%)", p.n, p.of, p.what, share))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return fmt.Sprintf("Source %s, %s: %s.", h.Source, Counted(h.Visits, "visit"), strings.Join(parts, "; "))
}
