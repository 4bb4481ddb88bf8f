-- layer: read
-- makes: names of files
-- grain: a row a file
-- reads: source.files
-- why: a line is named by its file and number
select file_key, name
from source.files
order by file_key;
