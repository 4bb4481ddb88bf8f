-- layer: source
-- makes: rows of source.columns
-- grain: a row a row of the view
-- reads: main.incoming
-- why: what each column was taken for can be looked up later
insert into source.columns (
    file_key, header, field, fire, condition, unit, basis, cells, cells_set_aside
)
select
    incoming.file_key, incoming.header, incoming.field, incoming.fire, incoming.condition, incoming.unit,
    incoming.basis, incoming.cells, incoming.cells_set_aside
from main.incoming;
