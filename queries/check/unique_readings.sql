-- layer: check
-- makes: readings that are there twice
-- grain: a row a reading
-- reads: joined.reading_values
-- why: a reading counts once
with places as (
    select (file_key::bigint << 40) | (line::bigint << 8) | part as place
    from joined.reading_values
),

twice as (
    select place
    from places
    group by place
    having count(*) > 1
)

select place >> 40 as file_key, (place >> 8) & 4294967295 as line, place & 255 as part
from twice
order by place;
