-- layer: result
-- makes: rows of result.judgements
-- grain: a row a row of the view
-- reads: main.incoming
-- why: the Arrow view can be read once, so one statement takes it all
insert into result.judgements (
    unit_key, origin, fire, condition, use
)
select
    incoming.unit_key, incoming.origin, incoming.fire, incoming.condition, incoming.use
from main.incoming;
