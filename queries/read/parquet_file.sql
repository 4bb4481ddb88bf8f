-- layer: read
-- makes: a Parquet file of the rows of the view
-- grain: a row a row of the view
-- reads: main.incoming
-- why: a name of the file cannot be bound, so the session's home is its folder
copy (from main.incoming) to '~/rows.parquet' (format parquet, compression zstd);
