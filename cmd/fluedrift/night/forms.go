package night

import (
	"bytes"
	"context"
	"io"

	"fluedrift/analysis/report/lists"
	"fluedrift/analysis/report/page"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/watch"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/cmd/fluedrift/settings"
	"fluedrift/model/day"
	"fluedrift/model/judge"
	"fluedrift/queries"
)

// forms are the files a night publishes beside run.json, each list as Parquet by a
// writer of that.
func (l *Lists) forms(parquet func(io.Writer, table.Table) error) []publish.File {
	var all []publish.File
	for _, t := range l.Tables {
		exact := publish.FileOf(t.Name+".json", len(t.Rows), table.WriteJSON, t)
		if l.packOver > 0 && len(t.Rows) > l.packOver {
			exact = publish.Packed(exact)
		}
		all = append(all,
			publish.FileOf(t.Name+".csv", len(t.Rows), table.WriteCSV, t), exact,
			publish.FileOf(t.Name+".parquet", len(t.Rows), parquet, t))
	}
	list, shown := l.page(), table.AllIn(l.units, l.Tables)
	for _, t := range others(shown) {
		write := func(w io.Writer, t table.Table) error { return page.WriteOther(w, t, list.Links) }
		all = append(all, publish.FileOf(page.OtherPage(t), min(len(t.Rows), page.PageLines), write, t))
	}
	for _, part := range list.Parts {
		write := func(w io.Writer, p page.Page) error { return page.WritePart(w, p, part) }
		all = append(all, publish.FileOf(part.Address, len(part.Lines), write, list))
	}
	for _, m := range l.mends {
		all = append(all, publish.File{Name: m.Name, Lines: m.Lines, Write: m.Write})
	}
	sheets := func(w io.Writer, all []watch.Sheet) error { return page.WriteSheets(w, l.units, all, l.Summary.AsOf) }
	return append(all,
		publish.FileOf("lists.xlsx", len(l.Tables), table.WriteXLSX, shown),
		publish.FileOf(page.ListPage, len(l.Tables[0].Rows), page.WritePage, list),
		publish.FileOf(sheetsPage, len(l.sheets), sheets, l.sheets),
		publish.FileOf("datapackage.json", len(l.Tables), table.WriteTableSchema, l.Tables),
		publish.FileOf("csv-metadata.json", len(l.Tables), table.WriteCSVW, l.Tables),
		publish.File{Name: "CAUTIONS.txt", Lines: len(words.Cautions()), Write: table.WriteCautions})
}

// page is the list of the publication as a page.
func (l *Lists) page() page.Page {
	return page.Page{
		Summary: l.Summary, Lines: l.lines, Details: l.details, Notes: l.notes, Past: l.past, Links: l.links(),
		Parts: page.PartsOf(l.lines, l.crews), Units: l.units,
	}
}

// others are the lists beside the watchlist that have a page; the dictionary is of no
// use on one.
func others(all []table.Table) []table.Table { return all[1 : len(all)-1] }

// links lead from one page of the publication to the others.
func (l *Lists) links() []page.Link {
	links := []page.Link{{Name: "List", Address: page.ListPage}}
	for _, t := range others(l.Tables) {
		_, short := words.ListTitle(t.Name)
		links = append(links, page.Link{Name: short, Address: page.OtherPage(t)})
	}
	links = append(links, page.Link{Name: "Sheets", Address: sheetsPage})
	if l.lookedBack != "" {
		links = append(links, page.Link{Name: "Hindsight", Address: "../hindsight/" + l.lookedBack + "/hindsight.html"})
	}
	return links
}

// sheetsPage is the file of the sheets.
const sheetsPage = "sheets.html"

// asParquet writes lists as Parquet, each row with the day it speaks for.
func asParquet(ctx context.Context, files *queries.ParquetWriter, asOf day.Day) func(io.Writer, table.Table) error {
	return func(w io.Writer, t table.Table) error {
		t.AsOf = asOf
		return WriteParquet(ctx, files, w, table.Dated(t))
	}
}

// WriteParquet writes a table by an open writer.
func WriteParquet(ctx context.Context, files *queries.ParquetWriter, w io.Writer, t table.Table) error {
	rec, err := table.ArrowRecord(t)
	if err != nil {
		return err
	}
	defer rec.Release()
	b, err := files.File(ctx, rec)
	if err == nil {
		_, err = w.Write(b)
	}
	return err
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
func PictureOf(h *judge.History, l *watch.Line, r watch.Config, carry []string) Picture {
	s := watch.SheetOf(h, l, r, lists.CarriedFacts(h.Unit, carry))
	return Picture{page.Detail{Story: watch.Tell(h, *l, r), Chart: s.Chart}, s, l}
}

// mostPictures is how many units of a fleet are drawn.
const mostPictures = 500

// draw makes the pictures of the first units of the list, and the sheets of
// those among them that somebody is to see or to phone about.
func (l *Lists) draw(ordered []watch.Line, histories []*judge.History, r watch.Config, carry []string) {
	l.lines = ordered
	byKey := make(map[int32]*judge.History, len(histories))
	for _, h := range histories {
		byKey[h.Unit.Key] = h
	}
	for i := range ordered[:min(len(ordered), mostPictures)] {
		p := PictureOf(byKey[ordered[i].Unit.Key], &ordered[i], r, carry)
		l.details = append(l.details, p.Detail)
		if ordered[i].Due() {
			l.sheets = append(l.sheets, p.Sheet)
		}
	}
}
