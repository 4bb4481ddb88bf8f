package queries

import "context"

// ParquetChunk is what the end of a Parquet file says of a column in one stretch of
// rows (a column chunk of a row group).
type ParquetChunk struct {
	Column          string // its path; the name of the column where nothing is nested
	Group           int    // of the stretch, from 0
	Rows            int64  // of the stretch
	Values          int64  // missing ones among them
	Offset, Bytes   int64  // where its pages stand
	Unpacked        int64  // bytes of its pages before compression
	Missing         int64  // values; -1 where the file does not say
	Least, Greatest string // value as text; "" where the file does not say
}

// Chunks gives those of every column, stretch by stretch, in the order of the columns.
func (p *Parquet) Chunks(ctx context.Context) ([]ParquetChunk, error) {
	return collect(ctx, p.session, "parquet_chunks.sql", func(c *ParquetChunk) []Field {
		return []Field{
			Text("column_name", &c.Column), Whole("stretch", &c.Group), Whole("rows", &c.Rows), Whole("present", &c.Values),
			Whole("first_page", &c.Offset), Whole("bytes", &c.Bytes), Whole("unpacked", &c.Unpacked),
			WholeOr("missing", &c.Missing, -1), Text("least", &c.Least), Text("greatest", &c.Greatest),
		}
	}, p.path)
}
