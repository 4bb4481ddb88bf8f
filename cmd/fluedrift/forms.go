package main

import (
	"bytes"
	"io"
	"path/filepath"

	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/judge"
)

// form is one file of a publication.
type form struct {
	name  string
	lines int
	write func(io.Writer) error
}

// forms are the files a night publishes beside run.json.
func (l *nightLists) forms() []form {
	var all []form
	for _, t := range l.tables {
		all = append(all,
			form{t.Name + ".csv", len(t.Rows), func(w io.Writer) error { return table.WriteCSV(w, t) }},
			form{t.Name + ".json", len(t.Rows), func(w io.Writer) error { return table.WriteJSON(w, t) }})
	}
	for _, m := range l.mends {
		all = append(all, form{m.Name, m.Lines, m.Write})
	}
	return append(all,
		form{"lists.xlsx", len(l.tables), func(w io.Writer) error { return table.WriteXLSX(w, l.tables) }},
		form{"lists.html", len(l.tables[0].Rows), func(w io.Writer) error { return page.WritePage(w, l.page()) }},
		form{"sheets.html", len(l.sheets), func(w io.Writer) error { return page.WriteSheets(w, l.sheets, l.summary.AsOf) }},
		form{"datapackage.json", len(l.tables), func(w io.Writer) error { return table.WriteTableSchema(w, l.tables) }},
		form{"csv-metadata.json", len(l.tables), func(w io.Writer) error { return table.WriteCSVW(w, l.tables) }},
		form{"CAUTIONS.txt", len(words.Cautions()), table.WriteCautions})
}

// page is the one page of the publication.
func (l *nightLists) page() page.Page {
	last := len(l.tables) - 1 // the dictionary is of no use on the page
	return page.Page{Summary: l.summary, Watchlist: l.tables[0], Details: l.details, Lists: l.tables[1:last], Notes: l.notes}
}

// writeForms writes every file into a stage and notes it in the record.
func writeForms(s *stage, all []form, record *runRecord) error {
	for _, f := range all {
		var b bytes.Buffer
		if err := f.write(&b); err != nil {
			return err
		}
		if err := s.write(f.name, b.Bytes()); err != nil {
			return err
		}
		record.Lists = append(record.Lists, listRecord{f.name, f.lines, settings.DigestOf(b.Bytes())})
	}
	return nil
}

// picture is all that can be told of one unit.
type picture struct {
	detail page.Detail
	sheet  watch.Sheet
}

func pictureOf(h *judge.History, l *watch.Line, r watch.Rules, carry []string) picture {
	s := watch.SheetOf(h, l, r, lists.CarriedFacts(h.Unit, carry))
	return picture{page.Detail{Story: watch.Tell(h, *l, r), Chart: watch.ChartOf(h, l, r), Check: s.Check}, s}
}

// draw makes the pictures of the first units of the list, and the sheets of
// those among them that somebody is to see or to phone about.
func (l *nightLists) draw(ordered []watch.Line, histories []*judge.History, r watch.Rules, carry []string) {
	byKey := make(map[int32]*judge.History, len(histories))
	for _, h := range histories {
		byKey[h.Unit.Key] = h
	}
	for i := range ordered[:min(len(ordered), page.PageDetails)] {
		p := pictureOf(byKey[ordered[i].Unit.Key], &ordered[i], r, carry)
		l.details = append(l.details, p.detail)
		if ordered[i].Due() {
			l.sheets = append(l.sheets, p.sheet)
		}
	}
}

// writeBeside writes files into a folder beside the publications, in order, each
// whole or not at all and as private as the lists; folders that are missing are
// made.
func writeBeside(folder string, all []form, as *disk, guards []guard) error {
	if err := allowed("the folder of the result", folder, guards); err != nil {
		return err
	}
	for _, f := range []string{filepath.Dir(filepath.Dir(folder)), filepath.Dir(folder), folder} {
		if err := makeFolder(f, as.folderMode()); err != nil {
			return err
		}
	}
	for _, f := range all {
		var b bytes.Buffer
		if err := f.write(&b); err != nil {
			return err
		}
		p, err := destinationOf("the result", filepath.Join(folder, f.name), guards)
		if err != nil {
			return err
		}
		if err := p.put(b.Bytes(), as.fileMode()); err != nil {
			return err
		}
	}
	return nil
}
