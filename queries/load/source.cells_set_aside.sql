-- layer: source
-- makes: rows of source.cells_set_aside
-- grain: a row a row of the view
-- reads: main.incoming
-- why: a cell that could not be read is kept with its reason, and its line stands
insert into source.cells_set_aside (
    file_key, line, column_name, value, reason, message, costs_reading, fire, condition, serial, day
)
select
    incoming.file_key, incoming.line, incoming.column_name, incoming.value, incoming.reason, incoming.message,
    incoming.costs_reading, incoming.fire, incoming.condition, incoming.serial, incoming.day
from main.incoming;
