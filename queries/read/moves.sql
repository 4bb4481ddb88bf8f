-- layer: read
-- makes: moves of units
-- grain: a row a unit and move
-- reads: joined.moves
-- why: when a unit that is still the same came to another place, and what it left; a serial of another boiler since has not moved
select unit_key, day, if(open, last_day, null) as after_day, from_site, to_site, from_area, from_altitude_m, file_key, line
from joined.moves
where not anew and unit_key >= ?::integer and unit_key < ?::integer
order by unit_key, day;
