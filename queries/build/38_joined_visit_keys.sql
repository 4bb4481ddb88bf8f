-- layer: joined
-- makes: joined.visit_keys
-- grain: a row a visit row with a standing line
-- reads: record.visits, joined.visit_rows, joined.units
-- why: keys of visits follow unit, day and time, without gaps, so that keys alone put a history in order
create table joined.visit_keys as
with described as (
    select
        rows.visit_hash, units.unit_key,
        row_number() over (
            order by
                units.unit_key, visits.day, visits.minute nulls first, rows.source, visits.visit_id nulls first,
                rows.visit_hash
        )::integer as visit_key
    from joined.visit_rows as rows
    inner join record.visits as visits on rows.visit_row = visits.visit_row
    inner join joined.units as units on rows.serial = units.serial
    where rows.describes
)

select
    rows.visit_row, rows.visit_hash, rows.describes, rows.source, rows.how, described.visit_key, described.unit_key
from joined.visit_rows as rows
inner join described on rows.visit_hash = described.visit_hash
order by rows.visit_row;
