-- layer: check
-- makes: lines with two outcomes
-- grain: a row a line
-- reads: joined.settled, joined.register
-- why: every line of a file ends in exactly one outcome
with places as (
    select (file_key::bigint << 32) | line as place
    from joined.settled
    union all
    select (file_key::bigint << 32) | line
    from joined.register
),

twice as (
    select place
    from places
    group by place
    having count(*) > 1
)

select place >> 32 as file_key, place & 4294967295 as line
from twice
order by place;
