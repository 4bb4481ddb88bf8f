-- layer: read
-- makes: what the end of a Parquet file says of each column, stretch by stretch
-- grain: a row a column and stretch of rows
-- reads: nothing
-- why: the engine compares neither the checksums of pages nor what the end says of the values with what it reads
select path_in_schema as column_name,
  row_group_id::bigint as stretch,
  row_group_num_rows::bigint as rows,
  num_values::bigint as present,
  case when coalesce(dictionary_page_offset, 0) between 4 and data_page_offset then dictionary_page_offset else data_page_offset end::bigint
    as first_page,
  total_compressed_size::bigint as bytes,
  total_uncompressed_size::bigint as unpacked,
  stats_null_count::bigint as missing,
  stats_min_value as least,
  stats_max_value as greatest
from parquet_metadata(?)
order by row_group_id, column_id;
