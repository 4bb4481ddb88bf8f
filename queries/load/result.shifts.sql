-- layer: result
-- makes: rows of result.shifts
-- grain: a row a row of the view
-- reads: main.incoming
-- why: the Arrow view can be read once, so one statement takes it all
insert into result.shifts (
    fire, event, name, unit, value, se, low, high, dropped, events, units, sigma_points, ended
)
select
    incoming.fire, incoming.event, incoming.name, incoming.unit, incoming.value, incoming.se, incoming.low,
    incoming.high, incoming.dropped, incoming.events, incoming.units, incoming.sigma_points, incoming.ended
from main.incoming;
