-- layer: joined
-- makes: joined.visit_keys, joined.single_fires
-- grain: a row a visit row with a standing line; a row a unit that is read at its single fire
-- reads: record.visits, record.readings, joined.lines, joined.visit_rows, joined.units, joined.unit_targets, joined.visit_keys
-- why: keys of visits follow unit, day and time, without gaps, so that keys alone put a history in order; a unit whose targets are all of a single fire has one fire, whichever its records call it
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

create table joined.single_fires as
with lines_apart as (
    select file_key, line
    from joined.lines
    where record = 'readings' and (outcome <> 'accepted' or known_from > getvariable('as_of'))
),

of_one_target as (
    select unit_key
    from joined.unit_targets
    where target_key is not null
    group by unit_key
    having bool_and(fire = 'single')
)

select keys.unit_key
from record.readings as readings
inner join joined.visit_keys as keys on readings.visit_row = keys.visit_row
semi join of_one_target on keys.unit_key = of_one_target.unit_key
anti join lines_apart on readings.file_key = lines_apart.file_key and readings.line = lines_apart.line
group by keys.unit_key
having bool_and(readings.fire in ('high', 'single')) and bool_or(readings.fire = 'high')
order by keys.unit_key;
