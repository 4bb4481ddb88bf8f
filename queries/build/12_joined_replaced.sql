-- layer: joined
-- makes: joined.replaced
-- grain: a row a line whose corrected copy of the same key came back
-- reads: source.files, source.returned, joined.given
-- why: a corrected copy names the line it stands for, and replaces it whatever is known of the days of their exports
create table joined.replaced as
with named as (
    select returned.file_key, returned.line, files.file_key as of_file_key, returned.of_line
    from source.returned as returned
    inner join source.files as files on returned.of_file = regexp_replace(files.name, '[^ -~]', '?', 'g')
    where returned.file_key <> files.file_key
)

select origin.file_key, origin.line, max(given.place) as by_place
from named
inner join joined.given as given on named.file_key = given.file_key and named.line = given.line
inner join joined.given as origin on named.of_file_key = origin.file_key and named.of_line = origin.line
where given.key_hash = origin.key_hash and given.content_hash <> origin.content_hash
    and given.known_from <= getvariable('as_of')
group by origin.file_key, origin.line;
