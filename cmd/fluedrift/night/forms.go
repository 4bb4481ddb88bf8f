package night

import (
	"bytes"
	"io"

	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/judge"
)

// forms are the files a night publishes beside run.json.
func (l *Lists) forms() []publish.File {
	var all []publish.File
	for _, t := range l.Tables {
		all = append(all,
			publish.File{Name: t.Name + ".csv", Lines: len(t.Rows), Write: func(w io.Writer) error { return table.WriteCSV(w, t) }},
			publish.File{Name: t.Name + ".json", Lines: len(t.Rows), Write: func(w io.Writer) error { return table.WriteJSON(w, t) }})
	}
	for _, m := range l.mends {
		all = append(all, publish.File{Name: m.Name, Lines: m.Lines, Write: m.Write})
	}
	return append(all,
		publish.File{Name: "lists.xlsx", Lines: len(l.Tables), Write: func(w io.Writer) error { return table.WriteXLSX(w, l.Tables) }},
		publish.File{Name: "lists.html", Lines: len(l.Tables[0].Rows), Write: func(w io.Writer) error {
			return page.WritePage(w,
				l.page())
		}},
		publish.File{Name: "sheets.html", Lines: len(l.sheets), Write: func(w io.Writer) error {
			return page.WriteSheets(w,
				l.sheets, l.Summary.AsOf)
		}},
		publish.File{
			Name: "datapackage.json", Lines: len(l.Tables),
			Write: func(w io.Writer) error { return table.WriteTableSchema(w, l.Tables) },
		},
		publish.File{Name: "csv-metadata.json", Lines: len(l.Tables), Write: func(w io.Writer) error {
			return table.WriteCSVW(w,
				l.Tables)
		}},
		publish.File{Name: "CAUTIONS.txt", Lines: len(words.Cautions()), Write: table.WriteCautions})
}

// page is the one page of the publication.
func (l *Lists) page() page.Page {
	last := len(l.Tables) - 1 // the dictionary is of no use on the page
	return page.Page{Summary: l.Summary, Watchlist: l.Tables[0], Details: l.details, Lists: l.Tables[1:last], Notes: l.notes}
}

// writeForms writes every file into a stage and notes it in the record.
func writeForms(s *publish.Stage, all []publish.File, record *Record) error {
	for _, f := range all {
		var b bytes.Buffer
		if err := f.Write(&b); err != nil {
			return err
		}
		if err := s.Write(f.Name, b.Bytes()); err != nil {
			return err
		}
		record.Lists = append(record.Lists, publish.Written{Name: f.Name, Lines: f.Lines, Digest: settings.DigestOf(b.Bytes())})
	}
	return nil
}

// Picture is all that can be told of one unit.
type Picture struct {
	Detail page.Detail
	Sheet  watch.Sheet
	Line   *watch.Line // what they are of
}

// PictureOf draws one unit: its story, its chart and its sheet.
func PictureOf(h *judge.History, l *watch.Line, r watch.Rules, carry []string) Picture {
	s := watch.SheetOf(h, l, r, lists.CarriedFacts(h.Unit, carry))
	return Picture{page.Detail{Story: watch.Tell(h, *l, r), Chart: watch.ChartOf(h, l, r)}, s, l}
}

// draw makes the pictures of the first units of the list, and the sheets of
// those among them that somebody is to see or to phone about.
func (l *Lists) draw(ordered []watch.Line, histories []*judge.History, r watch.Rules, carry []string) {
	byKey := make(map[int32]*judge.History, len(histories))
	for _, h := range histories {
		byKey[h.Unit.Key] = h
	}
	for i := range ordered[:min(len(ordered), page.PageDetails)] {
		p := PictureOf(byKey[ordered[i].Unit.Key], &ordered[i], r, carry)
		l.details = append(l.details, p.Detail)
		if ordered[i].Due() {
			l.sheets = append(l.sheets, p.Sheet)
		}
	}
}
