package watch

import (
	"slices"

	"fluedrift/analysis"
	"fluedrift/model/day"
)

// Summary is what stands at the head of a list: how many units, where they
// stand, and what could not be judged.
type Summary struct {
	AsOf day.Day
	Lost []string // what was lost before any unit was judged; said first
	// CommonCause is what the fleet's being out of limits is likelier due to than to
	// its burners; "" where nothing says so.
	CommonCause string
	Measured    []string // what the chances rest on
	Missing     []Lack   // what no record of the fleet holds
	Units       int      // all assessed
	Listed      int      // all but the removed
	Removed     int      // recorded as removed: counted, not listed
	AtFoot      int      // answered, isolated or off for the season
	Unread      int      // listed without any reading from the field: no chance stands by them
	Groups      []GroupCount
	Marks       []MarkCount // every kind of marks of the table that a listed unit bears, most marked first
}

// GroupCount is the number of units in a group, those at the foot left out.
type GroupCount struct {
	Group Group
	Words string
	Units int
}

// MarkCount is a kind of marks and how many listed units bear it.
type MarkCount struct {
	Mark  analysis.MarkKind
	Units int
}

// Summarize counts lines, removed ones included.
func Summarize(lines []Line, r Config) Summary {
	s := Summary{AsOf: r.AsOf, Units: len(lines), CommonCause: r.CommonCause}
	groups, marks := map[Group]int{}, map[analysis.MarkKind]int{}
	for i := range lines {
		l := &lines[i]
		switch {
		case l.Removed:
			s.Removed++
			continue
		case l.Foot != NoFoot:
			s.AtFoot++
		default:
			groups[l.Group]++
		}
		for _, m := range l.Marks {
			marks[m.Kind]++
		}
	}
	s.Listed, s.Unread = s.Units-s.Removed, marks[MarkNoReading]
	for _, g := range Groups() {
		s.Groups = append(s.Groups, GroupCount{g, r.words(g), groups[g]})
	}
	for _, m := range markTable {
		if n := marks[m.mark]; n > 0 {
			s.Marks = append(s.Marks, MarkCount{m.mark, n})
		}
	}
	slices.SortStableFunc(s.Marks, func(a, b MarkCount) int { return b.Units - a.Units })
	return s
}

// UnreadShare returns the share of listed units without a reading, 0 without any
// listed.
func (s Summary) UnreadShare() float64 { return float64(s.Unread) / float64(max(s.Listed, 1)) }
