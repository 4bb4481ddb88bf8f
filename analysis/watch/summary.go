package watch

import (
	"fmt"
	"slices"
)

// Summary is what stands at the head of a list: how many units, where they
// stand, and what could not be judged.
type Summary struct {
	AsOf int32
	Lost []string // what was lost before any unit was judged; said first
	// CommonCause is what the fleet's being out of limits is likelier due to than to
	// its burners; "" where nothing says so.
	CommonCause string
	Measured    []string // what the chances rest on, and what is missing for all
	Units       int      // all assessed
	Listed      int      // all but the removed
	Removed     int      // recorded as removed: counted, not listed
	AtFoot      int      // answered or isolated
	Unread      int      // listed without any reading from the field: no chance stands by them
	Tiers       []TierCount
	Marks       []Gap // every mark that a listed unit bears, most marked first
}

// TierCount is the number of units in a tier, those at the foot left out.
type TierCount struct {
	Tier  Tier
	Words string
	Units int
}

// Gap is a mark and how many listed units bear it. Sentence is empty where the
// mark takes nothing from the judgement.
type Gap struct {
	Mark     string
	Units    int
	Sentence string
}

// Summarize counts lines, removed ones included.
func Summarize(lines []Line, r Rules) Summary {
	s := Summary{AsOf: r.AsOf, Units: len(lines), CommonCause: r.CommonCause}
	tiers, marks := map[Tier]int{}, map[string]int{}
	for i := range lines {
		l := &lines[i]
		switch {
		case l.Removed:
			s.Removed++
			continue
		case l.Foot != "":
			s.AtFoot++
		default:
			tiers[l.Tier]++
		}
		for _, m := range l.Marks {
			marks[m]++
		}
	}
	s.Listed, s.Unread = s.Units-s.Removed, marks[MarkNoReading]
	for _, t := range Tiers() {
		s.Tiers = append(s.Tiers, TierCount{t, r.words(t), tiers[t]})
	}
	for _, m := range markTable {
		if n := marks[m.mark]; n > 0 {
			s.Marks = append(s.Marks, Gap{m.mark, n, gapSentence(n, s.Listed, m.sentence)})
		}
	}
	slices.SortStableFunc(s.Marks, func(a, b Gap) int { return b.Units - a.Units })
	return s
}

func gapSentence(n, of int, what string) string {
	if what == "" {
		return ""
	}
	if n == of {
		return fmt.Sprintf("All %s: %s.", count(of, "unit"), what)
	}
	return fmt.Sprintf("%d of %s: %s.", n, count(of, "unit"), what)
}

// UnreadShare returns the share of listed units without a reading, 0 without any
// listed.
func (s Summary) UnreadShare() float64 { return float64(s.Unread) / float64(max(s.Listed, 1)) }

// Head returns the summary as sentences: what was lost first, then what the chances
// rest on, the counts, and what could not be judged.
func (s Summary) Head() []string {
	first := fmt.Sprintf("As of %s: %s listed", DayWords(s.AsOf), count(s.Listed, "unit"))
	if s.AtFoot > 0 {
		first += fmt.Sprintf(", %d of them at the foot (answered or isolated)", s.AtFoot)
	}
	if s.Removed > 0 {
		first += fmt.Sprintf("; %d recorded as removed and not listed", s.Removed)
	}
	head := append(slices.Clone(s.Lost), first+".")
	if s.CommonCause != "" {
		head = append(head, s.CommonCause+" No unit is called faulty by itself until that is settled.")
	}
	head = append(head, s.Measured...)
	for _, t := range s.Tiers {
		if t.Units > 0 {
			head = append(head, fmt.Sprintf("%s: %s.", upper(t.Words), count(t.Units, "unit")))
		}
	}
	return append(head, s.NotJudged()...)
}

// NotJudged returns one sentence for each thing that could not be judged, the
// most frequent first.
func (s Summary) NotJudged() []string {
	var out []string
	for _, g := range s.Marks {
		if g.Sentence != "" {
			out = append(out, g.Sentence)
		}
	}
	return out
}
