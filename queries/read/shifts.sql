-- layer: read
-- makes: the effects of fits of shifts
-- grain: a row a fire, event and covariate
-- reads: result.shifts
-- why: what moves a unit between the bench and its place is asked for by people and programs
select fire, event, name, unit, value, se, low, high, dropped, events, units, sigma_points, ended
from result.shifts
order by fire, event, name;
