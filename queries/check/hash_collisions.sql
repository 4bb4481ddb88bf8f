-- layer: check
-- makes: lines of one key that name different units, and visits that two visits share
-- grain: a row a key
-- reads: record.visits, record.readings, joined.visit_rows
-- why: lines and visits are compared by 64-bit hashes of their keys; two keys of one hash would be taken for one
with serials_of_keys as (
    select readings.key_hash, visits.serial, readings.fire, readings.condition
    from record.readings as readings
    inner join record.visits as visits on readings.visit_row = visits.visit_row
    where readings.key_hash is not null
),

visits_of_hashes as (
    select rows.visit_hash, rows.serial, rows.source, coalesce(visits.visit_id, visits.day::varchar) as visit
    from joined.visit_rows as rows
    inner join record.visits as visits on rows.visit_row = visits.visit_row
),

collisions as (
    select 'line' as what, key_hash as hash
    from serials_of_keys
    group by key_hash
    having min(serial) <> max(serial) or min(fire) <> max(fire) or min(condition) <> max(condition)
    union all
    select 'visit', visit_hash
    from visits_of_hashes
    group by visit_hash
    having min(serial) <> max(serial) or min(source) <> max(source) or min(visit) <> max(visit)
)

select what, hash
from collisions
order by what, hash;
