-- layer: source
-- makes: rows of source.set_aside
-- grain: a row a row of the view
-- reads: main.incoming
-- why: a line that could not be read is kept with its reason
insert into source.set_aside (
    file_key, line, column_name, value, reason, message, raw, serial, day
)
select
    incoming.file_key, incoming.line, incoming.column_name, incoming.value, incoming.reason, incoming.message,
    incoming.raw, incoming.serial, incoming.day
from main.incoming;
