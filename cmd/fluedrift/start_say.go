package main

import (
	"fmt"
	"io"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/ingest"
	"fluedrift/ingest/draft"
)

// report is what start says: what it understood, what it asks, what a list could not
// judge, and what comes next.
type report struct {
	*beginning
	cfg     *settings.Config
	all     []inspected
	outlook night.Outlook
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
		if section := (naming{r.beginning}).section(); filepath.Base(path) == configName && section != "" {
			fmt.Fprintf(&t, "  the ids that are answered have to be written into it by hand:%s\n", indented(strings.TrimRight(section, "\n")))
		}
	}
	for _, id := range r.answers.idle(r.questions) {
		fmt.Fprintf(&t, "%s: %q answers nothing that is asked\n", r.answers.path, id)
	}
	r.writeNext(&t)
	_, err := io.WriteString(out, night.Shown(t.String()))
	return err
}

// headOfKind says what the files of a kind are taken for.
func headOfKind(k *ingest.Proposal) string {
	names, taken := splitHead(k)
	return names + ": " + taken
}

// splitHead are the names of the files of a kind, and what they are taken for.
func splitHead(k *ingest.Proposal) (name, taken string) {
	var names []string
	for _, f := range k.Files {
		names = append(names, night.OneLine(f))
	}
	name = strings.Join(names[:min(len(names), 3)], ", ")
	if len(names) > 3 {
		name += fmt.Sprintf(" and %d more", len(names)-3)
	}
	switch {
	case k.By != "":
		return name, "read by your layout " + k.By
	case k.Text == "":
		return name, "not read"
	case !k.Sure:
		return name, "neither a register nor readings, not read"
	case !readable(k):
		return name, draft.RecordWords(k.Record) + ", not read yet"
	}
	return name, draft.RecordWords(k.Record)
}

// writeKind says what the files of a kind are taken for and what becomes of their lines.
func (r report) writeKind(t *strings.Builder, k *ingest.Proposal) {
	fmt.Fprintln(t, headOfKind(k))
	if k.By == "" && k.Text != "" && !k.Sure {
		return
	}
	if k.By == "" {
		for _, s := range k.Steps {
			writeWrapped(t, "  step ", "    ", s)
		}
		writeTaken(t, k.Columns)
		for _, n := range k.Notes {
			writeWrapped(t, "  look at: ", "    ", n)
		}
	}
	r.writeFates(t, k)
}

// writeFates says what becomes of the lines of the files of a kind.
func (r report) writeFates(t *strings.Builder, k *ingest.Proposal) {
	if k.By == "" && k.Text != "" && !k.Sure {
		return
	}
	if k.By == "" && k.Text != "" && !readable(k) {
		writeWrapped(t, "  not read: ", "    ", r.hindrance(k))
		return
	}
	for _, one := range r.all {
		if slices.Contains(k.Files, one.Name) {
			writeFate(t, &one)
			for _, m := range one.Marked {
				writeWrapped(t, "    in the workbook: ", "      ", m)
			}
		}
	}
}

// hindrance is what has to happen before the files of a kind are read.
func (r report) hindrance(k *ingest.Proposal) string {
	for i, q := range r.questions {
		if slices.ContainsFunc(q.lines, func(id string) bool { return strings.HasPrefix(id, decisionID(k.Label, "")) }) {
			return fmt.Sprintf("question %d comes first", i+1)
		}
	}
	why := strings.ReplaceAll(faultOf(k).Error(), "\n", "; ")
	if id := decisionID(k.Label, draft.RowsKey); r.answers.text(id) != "" {
		why += fmt.Sprintf("; or correct the answer %q in %s", id, r.answers.path)
	}
	return why
}

// writeTaken lists the columns with what each is taken for.
func writeTaken(t *strings.Builder, columns []draft.Column) {
	var taken, left []string
	for _, c := range columns {
		if c.Field == "" && c.Carry == "" {
			left = append(left, fmt.Sprintf("%q", c.Header))
		} else {
			taken = append(taken, fmt.Sprintf("%q is %s", c.Header, takenFor(c)))
		}
	}
	writeItems(t, "  ", taken, ";")
	writeItems(t, "  not read: ", left, ",")
}

// takenFor is what a column is taken for.
func takenFor(c draft.Column) string {
	if c.Carry != "" {
		return "carried as " + c.Carry
	}
	what := strings.Join(strings.Fields(fmt.Sprintf("%s %s %s", c.Field, c.Fire, c.Condition)), " ")
	if c.Unit != "" {
		what += " in " + c.Unit
	}
	return what
}

// writeItems writes items in lines that a terminal holds; none of them is cut.
func writeItems(t *strings.Builder, first string, items []string, between string) {
	line := first
	for i, item := range items {
		if i < len(items)-1 {
			item += between + " "
		}
		if line != first && len(line)+len(item) > 113 {
			fmt.Fprintln(t, strings.TrimRight(line, " "))
			line = "  "
		}
		line += item
	}
	if len(items) > 0 {
		fmt.Fprintln(t, line)
	}
}

// writeFate says what became of the lines of a file.
func writeFate(t *strings.Builder, one *inspected) {
	if one.Outcome != ingest.WasRead {
		outcome := one.Outcome
		if outcome == ingest.NotOurs {
			outcome = "not read"
		}
		writeWrapped(t, "  ", "    ", fmt.Sprintf("%s: %s: %s", night.OneLine(one.Name), outcome, one.Message))
		return
	}
	if lines := recordLines(one); lines > 0 || one.Joined == 0 {
		fmt.Fprintf(t, "  %s: %d of %d lines accepted\n", night.OneLine(one.Name), one.Accepted, lines)
	} else {
		fmt.Fprintf(t, "  %s: %s, each joined to those of other files that name it\n", night.OneLine(one.Name),
			night.Count(int(one.Joined), "line"))
	}
	for _, reason := range slices.Sorted(maps.Keys(one.Left)) {
		writeWrapped(t, "    ", "      ", fmt.Sprintf("left out, %s: %d", reason, one.Left[reason]))
	}
	writeExamples(t, "set aside", one.Examples)
	writeExamples(t, "cells set aside, their lines stand", one.CellExamples)
	for _, x := range one.Related {
		fmt.Fprintf(t, "    %s: %d, the first %s\n", strings.TrimSuffix(x.Outcome+", "+x.Reason, ", "), x.Count, x.First[0])
	}
}

// recordLines are the lines of a file that hold records.
func recordLines(one *inspected) int64 {
	return one.Lines - one.Header - one.Blank - one.Skipped - one.Joined
}

// writeExamples says why lines or cells are set aside, with the first of each reason.
func writeExamples(t *strings.Builder, what string, all []ingest.Example) {
	for _, e := range all {
		said := fmt.Sprintf("%s, %s: %d", what, e.Reason, e.Count)
		if len(e.First) > 0 {
			l := e.First[0]
			said += fmt.Sprintf(", the first in line %d, column %q: %s", l.Line, l.Column, l.Message)
		}
		writeWrapped(t, "    ", "      ", said)
	}
}
