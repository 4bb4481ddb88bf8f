-- layer: read
-- makes: where the pages of each column stand in a Parquet file, stretch by stretch
-- grain: a row a column and stretch of rows
-- reads: nothing
-- why: the engine does not compare the checksums of pages with their bytes
select path_in_schema as column_name,
  case when coalesce(dictionary_page_offset, 0) between 4 and data_page_offset then dictionary_page_offset else data_page_offset end::bigint
    as first_page,
  total_compressed_size::bigint as bytes
from parquet_metadata(?)
order by row_group_id, column_id;
