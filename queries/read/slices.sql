-- layer: read
-- makes: runs of unit keys
-- grain: a row a slice
-- reads: joined.units, joined.reading_values
-- why: the fleet passes through memory in pieces of about as many readings as asked for
with sizes as (
    select unit_key, count(*) as readings
    from joined.reading_values
    group by unit_key
),

cut as (
    select
        units.unit_key, units.serial,
        sum(coalesce(sizes.readings, 0) + 1) over (order by units.unit_key rows unbounded preceding) // ?::bigint as slice
    from joined.units as units
    left join sizes on units.unit_key = sizes.unit_key
)

select min(unit_key) as from_key, max(unit_key) + 1 as until_key
from cut
where ? = '' or serial = ?
group by slice
order by from_key;
