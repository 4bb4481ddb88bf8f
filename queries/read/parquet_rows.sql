-- layer: read
-- makes: a stretch of the rows of a Parquet file, each value as text
-- grain: a row a row of the file
-- reads: nothing
-- why: one stretch is in memory at a time, whatever the size of the file
select columns(* exclude (file_row_number))::varchar
from read_parquet(?, file_row_number = true)
where file_row_number >= ? and file_row_number < ?;
