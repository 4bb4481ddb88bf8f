-- layer: result
-- makes: rows of result.coefficients
-- grain: a row a row of the view
-- reads: main.incoming
-- why: the Arrow view can be read once, so one statement takes it all
insert into result.coefficients (
    fire, name, unit, coding, source, scale, value, se, low, high, dropped, usable, why_not
)
select
    incoming.fire, incoming.name, incoming.unit, incoming.coding, incoming.source, incoming.scale,
    incoming.value, incoming.se, incoming.low,
    incoming.high, incoming.dropped, incoming.usable, incoming.why_not
from main.incoming;
