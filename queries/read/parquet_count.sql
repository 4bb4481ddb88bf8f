-- layer: read
-- makes: the number of rows of a Parquet file, as its end tells it
-- grain: one row
-- reads: nothing
-- why: a few kilobytes can hold a thousand million equal rows
select num_rows::bigint as num_rows
from parquet_file_metadata(?);
