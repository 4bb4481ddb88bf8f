package main

import (
	"context"
	"io"

	"fluedrift/analysis/report"
	"fluedrift/analysis/study"
	"fluedrift/queries"
)

// ventsForms are the files of a study, the report last.
func ventsForms(ctx context.Context, s *study.Study) (all []form) {
	tables := report.VentTables(s)
	for _, t := range tables {
		all = append(all, form{t.Name + ".csv", len(t.Rows), func(w io.Writer) error { return report.WriteCSV(w, t) }})
	}
	return append(all,
		form{"rows.parquet", len(tables[0].Rows), func(w io.Writer) error { return writeParquet(ctx, w, tables[0]) }},
		form{"datapackage.json", len(tables), func(w io.Writer) error { return report.WriteTableSchema(w, tables) }},
		form{"csv-metadata.json", len(tables), func(w io.Writer) error { return report.WriteCSVW(w, tables) }},
		form{"model.R", 0, func(w io.Writer) error { return report.WriteVentsScript(w, s) }},
		form{"cautions.txt", len(report.Cautions()), report.WriteCautions},
		form{"report.html", 0, func(w io.Writer) error { return report.WriteVentsPage(w, s) }},
	)
}

// writeParquet lets the engine write a table.
func writeParquet(ctx context.Context, w io.Writer, t report.Table) error {
	rec, err := report.ArrowRecord(t)
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
