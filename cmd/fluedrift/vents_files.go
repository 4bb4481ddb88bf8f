package main

import (
	"context"
	"errors"
	"io"

	studypage "fluedrift/analysis/report/study"
	"fluedrift/analysis/report/table"
	"fluedrift/analysis/report/units"
	"fluedrift/analysis/report/words"
	"fluedrift/analysis/study"
	"fluedrift/cmd/fluedrift/night"
	"fluedrift/cmd/fluedrift/publish"
	"fluedrift/queries"
)

// ventsForms are the files of a study, the report last.
func ventsForms(ctx context.Context, in units.Set, s *study.Study) (all []publish.File) {
	tables := studypage.VentTables(s)
	for _, t := range tables {
		all = append(all, publish.FileOf(t.Name+".csv", len(t.Rows), table.WriteCSV, t))
	}
	report := func(w io.Writer, s *study.Study) error { return studypage.WriteVentsPage(w, in, s) }
	parquet := func(w io.Writer, t table.Table) error { return writeParquet(ctx, w, t) }
	return append(all,
		publish.FileOf("rows.parquet", len(tables[0].Rows), parquet, tables[0]),
		publish.FileOf("datapackage.json", len(tables), table.WriteTableSchema, tables),
		publish.FileOf("csv-metadata.json", len(tables), table.WriteCSVW, tables),
		publish.FileOf("model.R", 0, studypage.WriteVentsScript, s),
		publish.File{Name: "cautions.txt", Lines: len(words.Cautions()), Write: table.WriteCautions},
		publish.FileOf("report.html", 0, report, s),
	)
}

// writeParquet lets the engine write a table.
func writeParquet(ctx context.Context, w io.Writer, t table.Table) (err error) {
	files, err := queries.NewParquetWriter(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, files.Close()) }()
	return night.WriteParquet(ctx, files, w, t)
}
