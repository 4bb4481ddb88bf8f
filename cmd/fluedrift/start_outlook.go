package main

import (
	"cmp"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"fluedrift/analysis/report/words"
	"fluedrift/cmd/fluedrift/night"
	"fluedrift/ingest"
	"fluedrift/ingest/layout"
)

// writeOutlook says what a list made now could and could not judge.
func (r report) writeOutlook(t *strings.Builder) {
	fmt.Fprintf(t, "\nA list made now\n")
	for _, sentence := range r.judgeable() {
		writeWrapped(t, "  ", "    ", sentence)
	}
}

// judgeable are the sentences on it: lines read, units listed, and what the records lack.
func (r report) judgeable() (all []string) {
	all = append(all, r.lines())
	has := r.recorded()
	for _, m := range missingParts {
		if m.of != "" && !has[m.of] || has[m.needs] {
			continue
		}
		all = append(all, m.words)
	}
	all = append(all, naming{r.beginning}.unjoined()...)
	if r.outlook.Summary.Units > 0 {
		all = append(all, words.Judgeable(&r.outlook.Summary, r.outlook.Habits)...)
	}
	return all
}

// lines counts the lines of records that are read, and the others by reason.
func (r report) lines() string {
	var read, of, cells int64
	reasons := map[string]int64{}
	for _, one := range r.all {
		if one.Outcome != ingest.WasRead {
			continue
		}
		read, of = read+one.Accepted, of+recordLines(&one)
		cells += one.CellsSetAside
		for _, e := range one.Examples {
			reasons["set aside, "+e.Reason] += e.Count
		}
		for _, x := range one.Related {
			if x.Outcome != "accepted" && x.Outcome != "mends" {
				reasons[strings.TrimSuffix(x.Outcome+", "+x.Reason, ", ")] += int64(x.Count)
			}
		}
	}
	var said strings.Builder
	fmt.Fprintf(&said, "%d of %d lines of records are read", read, of)
	byCount := slices.SortedFunc(maps.Keys(reasons), func(a, b string) int {
		return cmp.Or(cmp.Compare(reasons[b], reasons[a]), cmp.Compare(a, b))
	})
	for i, reason := range byCount {
		fmt.Fprintf(&said, "%s%d %s", [...]string{"; not read: ", "; "}[min(i, 1)], reasons[reason], reason)
	}
	if cells > 0 {
		fmt.Fprintf(&said, "; beside them %s on lines that stand without", night.Count(int(cells), "cell"))
	}
	return said.String() + "."
}

// recorded are the records of which a line is accepted, and their fields.
func (r report) recorded() map[string]bool {
	has := map[string]bool{}
	for _, one := range r.all {
		if one.Outcome != ingest.WasRead || one.Accepted == 0 {
			continue
		}
		has[one.Record] = true
		for _, u := range one.Columns {
			has[one.Record+"."+u.Field] = true
		}
	}
	return has
}

// missingParts are what a list needs and no head of a list names, with what it cannot
// judge without.
var missingParts = []struct{ of, needs, words string }{
	{"", layout.Readings, "No readings are accepted: there is nothing to judge."},
	{layout.Readings, layout.Units, "No register is read: boilers are known by their readings alone, and removed ones stay on the list."},
	{layout.Units, "units.fuel", "No fuel is recorded: targets by fuel do not hold."},
	{layout.Readings, "readings.reason", "No reason of a visit is recorded: a visit is routine where every fire was read."},
}

// writeNext says what to do now.
func (r report) writeNext(t *strings.Builder) {
	fmt.Fprintln(t)
	if len(r.questions) > 0 {
		fmt.Fprintf(t, "Next: answer what you can in %s, then fluedrift start again. A list can be made at any time:\n", r.answers.path)
	} else {
		fmt.Fprintln(t, "Next:")
	}
	for _, command := range r.next() {
		fmt.Fprintf(t, "  %s\n", command)
	}
}

// next are the commands that make a list.
func (r report) next() []string {
	config := ""
	if r.dir != "." {
		config = " -config " + filepath.Join(r.dir, configName)
	}
	return []string{"fluedrift nightly" + config + " && fluedrift list" + config}
}

// writeWrapped writes a text in lines that a terminal holds.
func writeWrapped(t *strings.Builder, first, further, text string) {
	for _, line := range wrap(text, 110) {
		fmt.Fprintf(t, "%s%s\n", first, line)
		first = further
	}
}
