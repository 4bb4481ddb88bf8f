-- layer: read
-- makes: the types of a Parquet file's columns
-- grain: a row a column
-- reads: nothing
-- why: a number stored as one is no text in some office's way of writing numbers
select column_type
from (describe select columns(*) from read_parquet(?));
