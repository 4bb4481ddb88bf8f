-- layer: read
-- makes: fuels of units
-- grain: a row a unit and period of one fuel
-- reads: joined.fuels
-- why: what a unit burned on any day
select unit_key, from_day, until_day, uncertain_from, pinned, fuel
from joined.fuels
where unit_key >= ?::integer and unit_key < ?::integer
order by unit_key, from_day nulls first;
