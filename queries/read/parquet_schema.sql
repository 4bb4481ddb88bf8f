-- layer: read
-- makes: the elements of a Parquet file's schema, each before the elements within it
-- grain: a row an element
-- reads: nothing
-- why: the file's own names, before the engine makes two equal ones differ
select name, coalesce(num_children, 0)::integer as children
from parquet_schema(?);
