-- layer: source
-- makes: rows of source.returned
-- grain: a row a row of the view
-- reads: main.incoming
-- why: a corrected line names the line it was copied from
insert into source.returned (file_key, line, of_file, of_line)
select incoming.file_key, incoming.line, incoming.of_file, incoming.of_line
from main.incoming;
