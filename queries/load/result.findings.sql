-- layer: result
-- makes: rows of result.findings
-- grain: a row a row of the view
-- reads: main.incoming
-- why: the Arrow view can be read once, so one statement takes it all
insert into result.findings (
    unit_key, fire, kind, origin, other_fuel, is_open, words
)
select
    incoming.unit_key, incoming.fire, incoming.kind, incoming.origin, incoming.other_fuel,
    incoming.is_open, incoming.words
from main.incoming;
