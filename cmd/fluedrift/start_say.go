package main

import (
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/ingest"
	"fluedrift/ingest/draft"
	"fluedrift/ingest/layout"
)

// report is what start says: what it understood, what it asks, what a list could not
// judge, and what comes next.
type report struct {
	*beginning
	cfg     *settings.Config
	all     []inspected
	outlook night.Outlook
}

// recordWords name what a row of a record is.
var recordWords = map[string]string{
	layout.Readings: "readings", layout.Units: "a register of boilers", layout.ModelLines: "targets by model line",
	layout.Analyzers: "calibrations of analyzers", layout.Plants: "plants", layout.Answers: "answers",
}

func (r report) write(out io.Writer) error {
	var t strings.Builder
	for i := range r.kinds {
		r.writeKind(&t, &r.kinds[i])
	}
	r.writeQuestions(&t)
	r.writeOutlook(&t)
	for _, path := range r.kept {
		fmt.Fprintf(&t, "Left as it is, because a person edited it: %s\n", path)
		if filepath.Base(path) == configName && len(r.targets()) > 0 {
			fmt.Fprintf(&t, "  the targets that are answered have to be written into it by hand\n")
		}
	}
	for _, id := range r.answers.idle(r.questions) {
		fmt.Fprintf(&t, "%s: %q answers nothing that is asked\n", r.answers.path, id)
	}
	r.writeNext(&t)
	_, err := io.WriteString(out, night.Shown(t.String()))
	return err
}

// writeKind says what the files of a kind are taken for and what becomes of their lines.
func (r report) writeKind(t *strings.Builder, k *ingest.Proposal) {
	var names []string
	for _, f := range k.Files {
		names = append(names, night.OneLine(f))
	}
	name := strings.Join(names[:min(len(names), 3)], ", ")
	if len(names) > 3 {
		name += fmt.Sprintf(" and %d more", len(names)-3)
	}
	switch {
	case k.By != "":
		fmt.Fprintf(t, "%s: read by your layout %s\n", name, k.By)
	case k.Text == "":
		fmt.Fprintf(t, "%s: not read\n", name)
	case !k.Sure:
		fmt.Fprintf(t, "%s: neither a register nor readings, not read\n", name)
		return
	case !readable(k):
		fmt.Fprintf(t, "%s: %s, not read until a question is answered\n", name, recordWords[k.Record])
	default:
		fmt.Fprintf(t, "%s: %s\n", name, recordWords[k.Record])
	}
	if k.By == "" {
		writeTaken(t, k.Columns)
		for _, n := range k.Notes {
			fmt.Fprintf(t, "  look at: %s\n", indented(n))
		}
	}
	for _, one := range r.all {
		if slices.Contains(k.Files, one.Name) {
			writeFate(t, &one)
		}
	}
}

// writeTaken lists the columns with what each is taken for.
func writeTaken(t *strings.Builder, columns []draft.Column) {
	var taken, left []string
	for _, c := range columns {
		switch {
		case c.Carry != "":
			taken = append(taken, fmt.Sprintf("%q is carried as %s", c.Header, c.Carry))
		case c.Field == "":
			left = append(left, fmt.Sprintf("%q", c.Header))
		default:
			what := strings.Join(strings.Fields(fmt.Sprintf("%s %s %s", c.Field, c.Fire, c.Condition)), " ")
			if c.Unit != "" {
				what += " in " + c.Unit
			}
			taken = append(taken, fmt.Sprintf("%q is %s", c.Header, what))
		}
	}
	for _, line := range wrap(strings.Join(taken, "; "), 110) {
		if line != "" {
			fmt.Fprintf(t, "  %s\n", line)
		}
	}
	if len(left) > 0 {
		fmt.Fprintf(t, "  not read: %s\n", strings.Join(left, ", "))
	}
}

// writeFate says what became of the lines of a file.
func writeFate(t *strings.Builder, one *inspected) {
	if one.Outcome != ingest.WasRead {
		fmt.Fprintf(t, "  %s: %s %s\n", night.OneLine(one.Name), one.Outcome, indented(one.Message))
		return
	}
	records := one.Lines - one.Header - one.Blank - one.Skipped
	fmt.Fprintf(t, "  %s: %d of %d lines accepted\n", night.OneLine(one.Name), one.Accepted, records)
	for _, e := range one.Examples {
		l := e.First[0]
		fmt.Fprintf(t, "    set aside, %s: %d, the first in line %d: %q: %s\n", e.Reason, e.Count, l.Line, l.Value, indented(l.Message))
	}
	for _, x := range one.Related {
		fmt.Fprintf(t, "    %s: %d, the first %s\n", strings.TrimSuffix(x.Outcome+", "+x.Reason, ", "), x.Count, x.First[0])
	}
}
