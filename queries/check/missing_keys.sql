-- layer: check
-- makes: parsed lines without the hashes that tell lines apart
-- grain: a row a line
-- reads: joined.lines
-- why: lines without a key cannot be told from their doubles
select file_key, line
from joined.lines
where key_hash is null or content_hash is null
order by file_key, line;
