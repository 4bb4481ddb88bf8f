package main

import (
	"context"
	"io"

	studypage "fluedrift/analysis/report/study"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/study"
	"fluedrift/queries"
)

// ventsForms are the files of a study, the report last.
func ventsForms(ctx context.Context, s *study.Study) (all []form) {
	tables := studypage.VentTables(s)
	for _, t := range tables {
		all = append(all, form{t.Name + ".csv", len(t.Rows), func(w io.Writer) error { return table.WriteCSV(w, t) }})
	}
	return append(all,
		form{"rows.parquet", len(tables[0].Rows), func(w io.Writer) error { return writeParquet(ctx, w, tables[0]) }},
		form{"datapackage.json", len(tables), func(w io.Writer) error { return table.WriteTableSchema(w, tables) }},
		form{"csv-metadata.json", len(tables), func(w io.Writer) error { return table.WriteCSVW(w, tables) }},
		form{"model.R", 0, func(w io.Writer) error { return studypage.WriteVentsScript(w, s) }},
		form{"cautions.txt", len(words.Cautions()), table.WriteCautions},
		form{"report.html", 0, func(w io.Writer) error { return studypage.WriteVentsPage(w, s) }},
	)
}

// writeParquet lets the engine write a table.
func writeParquet(ctx context.Context, w io.Writer, t table.Table) error {
	rec, err := table.ArrowRecord(t)
	if err != nil {
		return err
	}
	defer rec.Release()
	b, err := queries.ParquetFile(ctx, rec)
	if err != nil {
		return err
	}
	_, err = w.Write(b)
	return err
}
