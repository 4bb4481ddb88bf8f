package night

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// unitGuards is a night at the guards of its units, at their usual limits.
func unitGuards(t *testing.T) *Night {
	t.Helper()
	return guarded(func(n *Night) {
		g := &n.Config.Guards
		g.UnreadTolerated, g.MaxUnreadRise, g.GroupChangeTolerated, g.MaxRemoved = 0.2, 0.1, 0.05, 0.05
		g.StrangersTolerated, g.MaxStrangers, g.MaxModelLineChange = 0.05, 0.5, 0.02
	})
}

// standing makes lines in a group, and what an earlier list said of them.
func standing(n int, group, before watch.Group) (lines []watch.Line, earlier []watch.Earlier) {
	for i := range n {
		serial := fmt.Sprintf("%d-%d", before, i)
		lines = append(lines, watch.Line{Unit: judge.Unit{Serial: serial}, Group: group})
		earlier = append(earlier, watch.Earlier{Serial: serial, Group: before})
	}
	return lines, earlier
}

// A share speaks from three units on and above its limit only.
func TestGuardOfUnitsWithoutAReading(t *testing.T) {
	n := unitGuards(t)
	summary := func(unread, listed int) watch.Summary { return watch.Summary{Unread: unread, Listed: listed} }
	require.Empty(t, n.manyUnread(summary(20, 100)))
	require.Empty(t, n.manyUnread(summary(2, 3)))
	found := n.manyUnread(summary(21, 100))
	require.Len(t, found, 1)
	require.Contains(t, found[0].text, "21 of 100 units (21.0 %) have no reading on record: more than guards.unread_tolerated = 0.2.")

	n.last.Counts["units listed"] = 100
	require.Empty(t, n.moreUnread(summary(90, 100)), "an older program did not count them")
	n.last.Counts["units unread"] = 5
	require.Empty(t, n.moreUnread(summary(15, 100)))
	found = n.moreUnread(summary(16, 100))
	require.Len(t, found, 1)
	require.Contains(t, found[0].text, "16 of 100 units have no reading on record, 5 of 100 in the last publication")
	require.Equal(t, "unread", found[0].guard)
}

// Units in another group than before are counted, and the groups named whose
// numbers changed most. Who left the list or joined it counts for nothing.
func TestGuardOfChangedGroups(t *testing.T) {
	n := unitGuards(t)
	same, earlier := standing(95, watch.CanWait, watch.CanWait)
	moved, before := standing(5, watch.AskFirst, watch.TestOverdue)
	lines, was := append(same, moved...), append(earlier, before...)
	require.Empty(t, n.movedGroups(lines, was))
	more, once := standing(1, watch.AskFirst, watch.GoToday)
	lines, was = append(lines, more...), append(was, once...)
	found := n.movedGroups(lines, was)
	require.Len(t, found, 1)
	require.Contains(t, found[0].text, "6 of 101 units (5.9 %) changed group since the list of 2025-03-01, more than "+
		"guards.group_change_tolerated = 0.05: "+
		"6 ask before driving, 0 before; 0 test overdue, 5 before; 0 go today, 1 before")
	lines[100].Removed, lines[99].Foot = true, watch.FootIsolated
	require.Empty(t, n.movedGroups(lines, was))
	two, wasTwo := standing(2, watch.AskFirst, watch.GoToday)
	require.Empty(t, n.movedGroups(two, wasTwo), "two units say nothing")
}

// A register that calls many units removed refuses the night.
func TestGuardOfRemovedUnits(t *testing.T) {
	n := unitGuards(t)
	lines, was := standing(100, watch.CanWait, watch.CanWait)
	for i := range 5 {
		lines[i].Removed = true
	}
	require.Empty(t, n.removedUnits(lines, was))
	lines[5].Removed = true
	found := n.removedUnits(lines, was)
	require.Len(t, found, 1)
	require.Contains(t, found[0].text, "a register says that 6 of the 100 units of the last list were removed")
	fresh := []watch.Line{{Removed: true}, {Removed: true}, {Removed: true}, {Removed: true}}
	require.Empty(t, n.removedUnits(fresh, was[:4]), "they were on no list before")
}

// strange makes the lines of a file that name serials outside the register.
func strange(file string, lines int) (all []queries.SetAside) {
	for i := range lines {
		all = append(all, queries.SetAside{
			File: file, Line: int32(i + 2), Outcome: "accepted", Reason: "not-in-register",
			Serial: fmt.Sprint(i),
		})
	}
	return all
}

// Serials outside the register are asked about by file, refused where they are
// most of it, and put down to lines of the register that were set aside.
func TestGuardOfSerialsOutsideTheRegister(t *testing.T) {
	n := unitGuards(t)
	n.inputs = []Input{
		{Name: "r.csv", Record: "readings", Outcome: "read", Records: 100},
		{Name: "u.csv", Record: "units", Outcome: "read", Records: 50},
	}
	at := func(lines int) (ask, refuse []fault) {
		n.aside = strange("r.csv", lines)
		return n.strangers()
	}
	ask, refuse := at(5)
	require.Empty(t, append(ask, refuse...))
	ask, refuse = at(6)
	require.Empty(t, refuse)
	require.Contains(t, ask[0].text, "1 file names serials outside the register in more than "+
		"guards.strangers_tolerated = 0.05 of its lines: r.csv (6 of 100 lines). Is a register missing, or are serials spelled differently?")
	ask, refuse = at(51)
	require.Empty(t, ask)
	require.Equal(t, "serials", refuse[0].guard)
	require.Contains(t, refuse[0].text, "r.csv (51 of 100 lines)")

	n.inputs = append(n.inputs, Input{Name: "s.csv", Record: "readings", Outcome: "read", Records: 100})
	n.aside = append(strange("r.csv", 6), strange("s.csv", 7)...)
	ask, _ = n.strangers()
	require.Contains(t, ask[0].text, "2 files name serials outside the register in more than "+
		"guards.strangers_tolerated = 0.05 of their lines: r.csv (6 of 100 lines); s.csv (7 of 100 lines).")

	n.aside = append(strange("r.csv", 6), queries.SetAside{
		File: "u.csv", Line: 4, Outcome: "set aside",
		Reason: "unreadable-number", Serial: "1",
	})
	ask, _ = n.strangers()
	require.Contains(t, ask[0].text, "1 line of the register could not be used, the first u.csv:4: correct them first.")
	n.inputs = n.inputs[:1]
	ask, refuse = at(100)
	require.Empty(t, append(ask, refuse...), "without a register nothing is outside of it")
}

// Two layouts of units that spell serials differently, or name other model
// lines, refuse the night.
func TestGuardOfContradictingRegisters(t *testing.T) {
	n := unitGuards(t)
	pair := queries.RegisterPair{First: "a", Second: "b", FirstSerials: 200, SecondSerials: 150, Alike: 2, Moved: 3}
	require.Empty(t, n.contradictingRegisters([]queries.RegisterPair{pair}))
	pair.Alike, pair.FirstSerial, pair.SecondSerial = 3, "KB-1", "kb 1"
	found := n.contradictingRegisters([]queries.RegisterPair{pair})
	require.Len(t, found, 1)
	require.Contains(t, found[0].text, `layouts "a" and "b" spell the serials of 3 units differently, such as "KB-1" and "kb 1"`)
	pair.Alike, pair.Moved, pair.MovedSerial, pair.FirstLine, pair.SecondLine = 0, 4, "KB-1", "Tern", "Gull"
	found = n.contradictingRegisters([]queries.RegisterPair{pair})
	require.Len(t, found, 1)
	require.Contains(t, found[0].text,
		`different model lines for 4 of 150 units, more than guards.max_model_line_change = 0.02: "KB-1" is "Tern" and "Gull"`)
}

// What a guard asks to look at is a note, and of the record alone where the
// guard is tolerated.
func TestToleratedQuestionsLeaveTheCode(t *testing.T) {
	n := unitGuards(t)
	n.Config.Guards.Tolerate = []string{"groups"}
	n.ask([]fault{{"groups", "many\nlook"}, {"unread", "few"}})
	require.Equal(t, []string{"few"}, n.notes)
	require.Equal(t, []string{`many (tolerated: guards.tolerate has "groups")`}, n.let)
	for _, guard := range []string{"unread", "groups", "removed", "serials", "registers"} {
		require.Contains(t, settings.GuardNames, guard)
	}
}
