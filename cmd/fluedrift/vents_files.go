package main

import (
	"context"
	"io"

	studypage "fluedrift/analysis/report/study"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/study"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/queries"
)

// ventsForms are the files of a study, the report last.
func ventsForms(ctx context.Context, s *study.Study) (all []publish.File) {
	tables := studypage.VentTables(s)
	for _, t := range tables {
		all = append(all, publish.File{
			Name: t.Name + ".csv", Lines: len(t.Rows),
			Write: func(w io.Writer) error { return table.WriteCSV(w, t) },
		})
	}
	return append(all,
		publish.File{Name: "rows.parquet", Lines: len(tables[0].Rows), Write: func(w io.Writer) error {
			return writeParquet(ctx,
				w, tables[0])
		}},
		publish.File{
			Name: "datapackage.json", Lines: len(tables),
			Write: func(w io.Writer) error { return table.WriteTableSchema(w, tables) },
		},
		publish.File{Name: "csv-metadata.json", Lines: len(tables), Write: func(w io.Writer) error { return table.WriteCSVW(w, tables) }},
		publish.File{Name: "model.R", Lines: 0, Write: func(w io.Writer) error { return studypage.WriteVentsScript(w, s) }},
		publish.File{Name: "cautions.txt", Lines: len(words.Cautions()), Write: table.WriteCautions},
		publish.File{Name: "report.html", Lines: 0, Write: func(w io.Writer) error { return studypage.WriteVentsPage(w, s) }},
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
