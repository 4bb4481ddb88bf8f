package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"fluedrift/analysis/report/page"
	"fluedrift/cmd/fluedrift/night"
	"fluedrift/ingest"
	"fluedrift/ingest/draft"
	"fluedrift/model/day"
)

// pageOf is the report as a page shows it.
func pageOf(r report, asOf day.Day) page.Beginning {
	b := page.Beginning{Exports: r.exports, AsOf: asOf, Answers: r.answers.path, Judgeable: r.judgeable(), Next: r.next()}
	for _, q := range r.questions {
		one := page.BeginningQuestion{Ask: q.ask, Evidence: q.evidence, Choices: q.choices, Guess: q.guess, Wrong: q.wrong}
		for _, l := range q.lines {
			one.Lines = append(one.Lines, quoted(l)+` = ""`)
		}
		b.Questions = append(b.Questions, one)
	}
	for i := range r.kinds {
		b.Kinds = append(b.Kinds, filesOf(r, &r.kinds[i]))
	}
	return b
}

// filesOf is what a page shows of the files of a kind.
func filesOf(r report, k *ingest.Proposal) page.BeginningFiles {
	names, taken := splitHead(k)
	f := page.BeginningFiles{Names: names, Taken: taken}
	if k.By == "" {
		f.Steps, f.Notes = k.Steps, k.Notes
		for _, c := range k.Columns {
			f.Columns = append(f.Columns, columnView(c))
		}
	}
	var fates strings.Builder
	r.writeFates(&fates, k)
	for line := range strings.Lines(fates.String()) {
		f.Fates = append(f.Fates, strings.TrimSpace(line))
	}
	for i := range r.all {
		if one := &r.all[i]; len(f.Rows) == 0 && slices.Contains(k.Files, one.Name) {
			f.LinesOf = filepath.Base(one.Name)
			f.Lines, f.Rows = sampleRows(one.Samples)
		}
	}
	return f
}

// sampleRows turns the first rows of a file on their side: a row a column.
func sampleRows(samples []ingest.Sample) (lines []int, rows []page.BeginningRow) {
	for _, s := range samples {
		lines = append(lines, s.Line)
		for i, c := range s.Cells {
			if i == len(rows) {
				rows = append(rows, page.BeginningRow{Header: c.Header, Field: c.Field})
			}
			rows[i].Cells = append(rows[i].Cells, page.BeginningCell{Cell: c.Cell, Stored: c.Stored})
		}
	}
	return lines, rows
}

// sureWords say how sure it is what a column is taken for.
var sureWords = map[draft.Certainty]string{
	draft.Answered: "you said so", draft.Sure: "sure", draft.Likely: "likely", draft.Guessed: "a guess", draft.Doubtful: "doubtful",
	draft.Unread: "not read",
}

// columnView is what a page shows of a column.
func columnView(c draft.Column) page.BeginningColumn {
	v := page.BeginningColumn{
		Header: c.Header, Sure: sureWords[c.Certainty], Why: c.Why, Cells: c.Cells, Others: c.Others,
		Doubt: c.Certainty == draft.Guessed || c.Certainty == draft.Doubtful,
	}
	if c.Certainty != draft.Unread {
		v.Taken = takenFor(c)
		v.Why += fmt.Sprintf("; %d of %s can be read so", c.Read, night.Count(c.Filled, "filled cell"))
	}
	return v
}
