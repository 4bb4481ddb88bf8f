package night

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"fluedrift/analysis/watch"
	"fluedrift/queries"
)

// leastLost is how many lines or units a guard needs to speak of: below, a share
// says nothing.
const leastLost = 3

// over reports whether a count is a larger share of a whole than the limit, and
// large enough to speak of.
func over(part, whole int64, limit float64) bool {
	return part >= leastLost && float64(part) > limit*float64(whole)
}

func percentOf(part, whole int64) string {
	return fmt.Sprintf("%.1f %%", 100*float64(part)/float64(max(whole, 1)))
}

// manyUnread finds that many of the units listed have no reading.
func (e *evidence) manyUnread(s watch.Summary) []fault {
	if !over(int64(s.Unread), int64(s.Listed), e.Config.Guards.UnreadTolerated) {
		return nil
	}
	return []fault{{"unread", fmt.Sprintf("%d of %s (%s) have no reading on record: more than guards.unread_tolerated "+
		"= %g. Is an export of readings missing, or not read?",
		s.Unread, Count(s.Listed, "unit"), percentOf(int64(s.Unread), int64(s.Listed)), e.Config.Guards.UnreadTolerated)}}
}

// moreUnread finds that units lost all their readings since the last publication.
func (e *evidence) moreUnread(s watch.Summary) []fault {
	was, known := e.last.Counts["units unread"]
	listed := e.last.Counts["units listed"]
	if !known || int64(s.Unread)-was < leastLost || listed == 0 {
		return nil
	}
	if s.UnreadShare()-float64(was)/float64(listed) <= e.Config.Guards.MaxUnreadRise {
		return nil
	}
	return []fault{{"unread", fmt.Sprintf("%d of %s have no reading on record, %d of %d in the last publication: the "+
		"share rose by more than guards.max_unread_rise = %g\nfind the export of readings that lost them, or set "+
		"guards.tolerate = [\"unread\"] for one night",
		s.Unread, Count(s.Listed, "unit"), was, listed, e.Config.Guards.MaxUnreadRise)}}
}

// movedGroups finds that many units stand in another group than in the last
// publication, and names the groups whose numbers changed most.
func (e *evidence) movedGroups(lines []watch.Line, before []watch.Earlier) []fault {
	was := make(map[string]watch.Group, len(before))
	counts := map[watch.Group][2]int{} // by group: now, before
	for _, e := range before {
		if e.Foot == "" {
			was[e.Serial] = e.Group
		}
	}
	var moved, both int64
	for i := range lines {
		l := &lines[i]
		group, listed := was[l.Unit.Serial]
		if !listed || l.Removed || l.Foot != watch.NoFoot {
			continue
		}
		both++
		if group != l.Group {
			moved++
		}
		c := counts[l.Group]
		counts[l.Group] = [2]int{c[0] + 1, c[1]}
		c = counts[group]
		counts[group] = [2]int{c[0], c[1] + 1}
	}
	limit := e.Config.Guards.GroupChangeTolerated
	if !over(moved, both, limit) {
		return nil
	}
	return []fault{{"groups", fmt.Sprintf("%d of %s (%s) changed group since the list of %s, more than guards.group_change_tolerated "+
		"= %g: %s",
		moved, Count(int(both), "unit"), percentOf(moved, both), e.last.AsOf, limit, strings.Join(mostChanged(counts), "; "))}}
}

// mostChanged names the groups whose numbers changed most, three at most.
func mostChanged(counts map[watch.Group][2]int) (words []string) {
	type change struct {
		group    watch.Group
		now, was int
	}
	var all []change
	for group, c := range counts {
		if c[0] != c[1] {
			all = append(all, change{group, c[0], c[1]})
		}
	}
	slices.SortFunc(all, func(a, b change) int {
		size := func(c change) int { return max(c.now-c.was, c.was-c.now) }
		if size(a) != size(b) {
			return size(b) - size(a)
		}
		return cmp.Compare(a.group, b.group)
	})
	for _, c := range all[:min(len(all), 3)] {
		words = append(words, fmt.Sprintf("%d %s, %d before", c.now, c.group.Words(), c.was))
	}
	if words == nil {
		return []string{"as many in each group as before"}
	}
	return words
}

// removedUnits finds that many units left the list because a register says that
// they were removed.
func (e *evidence) removedUnits(lines []watch.Line, before []watch.Earlier) []fault {
	was := make(map[string]bool, len(before))
	for _, e := range before {
		was[e.Serial] = true
	}
	var gone []string
	for i := range lines {
		if l := &lines[i]; l.Removed && was[l.Unit.Serial] {
			gone = append(gone, l.Unit.Serial)
		}
	}
	if !over(int64(len(gone)), int64(len(before)), e.Config.Guards.MaxRemoved) {
		return nil
	}
	return []fault{{"removed", fmt.Sprintf("a register says that %d of the %d units of the last list were removed: "+
		"more than guards.max_removed = %g: %s\nif it is right, set guards.tolerate = [\"removed\"] for one night",
		len(gone), len(before), e.Config.Guards.MaxRemoved, firstThree(gone))}}
}

// strangers finds files of readings that name many serials outside the register.
// Where lines of the register were set aside, they are the likelier cause.
func (e *evidence) strangers() (ask, refuse []fault) {
	kinds, lost := map[string]string{}, 0
	for _, f := range e.inputs {
		kinds[f.Name] = f.Record
	}
	strange, register := map[string]map[int32]bool{}, ""
	for _, a := range e.aside {
		switch {
		case a.Reason == watch.ReasonNotRegister && kinds[a.File] == "readings":
			if strange[a.File] == nil {
				strange[a.File] = map[int32]bool{}
			}
			strange[a.File][a.Line] = true
		case kinds[a.File] == "units" && a.Outcome != "accepted":
			if lost++; register == "" {
				register = fmt.Sprintf("%s:%d", a.File, a.Line)
			}
		}
	}
	if !slices.ContainsFunc(e.inputs, func(f Input) bool { return f.Record == "units" && f.ours() }) {
		return nil, nil // no register at all: nothing to be outside of
	}
	g := &e.Config.Guards
	var some, most []string
	for _, f := range e.inputs {
		lines := int64(len(strange[f.Name]))
		words := fmt.Sprintf("%s (%d of %d lines)", f.Name, lines, f.Records)
		switch {
		case over(lines, f.Records, g.MaxStrangers):
			most = append(most, words)
		case over(lines, f.Records, g.StrangersTolerated):
			some = append(some, words)
		}
	}
	cause := "Is a register missing, or are serials spelled differently?"
	if lost > 0 {
		cause = fmt.Sprintf("%s of the register could not be used, the first %s: correct them first.", Count(lost, "line"), register)
	}
	if len(most) > 0 {
		refuse = []fault{{"serials", fmt.Sprintf("%s serials outside the register in more than guards.max_strangers = "+
			"%g of %s: %s. %s\nif it is right, set guards.tolerate = [\"serials\"]",
			naming(len(most)), g.MaxStrangers, linesOf(len(most)), firstThree(most), cause)}}
	}
	if len(some) > 0 {
		ask = []fault{{"serials", fmt.Sprintf("%s serials outside the register in more than guards.strangers_tolerated = %g of %s: "+
			"%s. %s",
			naming(len(some)), g.StrangersTolerated, linesOf(len(some)), firstThree(some), cause)}}
	}
	return ask, refuse
}

// naming begins a sentence on files that name something.
func naming(files int) string {
	if files == 1 {
		return "1 file names"
	}
	return Count(files, "file") + " name"
}

// linesOf are the lines of those files.
func linesOf(files int) string {
	if files == 1 {
		return "its lines"
	}
	return "their lines"
}

// contradictingRegisters finds two layouts of units of which one cannot be right:
// the same boilers under other serials, or under other model lines.
func (e *evidence) contradictingRegisters(pairs []queries.RegisterPair) (found []fault) {
	for _, p := range pairs {
		if p.Alike >= leastLost {
			found = append(found, fault{"registers", fmt.Sprintf("layouts %q and %q spell the serials of %d units "+
				"differently, such as %q and %q: one boiler would stand on the list twice\nmend the layout or the "+
				"export, or set guards.tolerate = [\"registers\"] if they are different boilers",
				p.First, p.Second, p.Alike, p.FirstSerial, p.SecondSerial)})
		}
		smaller := min(p.FirstSerials, p.SecondSerials)
		if over(p.Moved, smaller, e.Config.Guards.MaxModelLineChange) {
			found = append(found, fault{"registers", fmt.Sprintf("layouts %q and %q name different model lines for %d "+
				"of %d units, more than guards.max_model_line_change = %g: %q is %q and %q\ncorrect one of them, or "+
				"set guards.tolerate = [\"registers\"]",
				p.First, p.Second, p.Moved, smaller, e.Config.Guards.MaxModelLineChange, p.MovedSerial, p.FirstLine, p.SecondLine)})
		}
	}
	return found
}
