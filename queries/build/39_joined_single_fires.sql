-- layer: joined
-- makes: joined.single_fires
-- grain: a row a unit that is read at its single fire
-- reads: record.readings, joined.lines, joined.unit_targets, joined.visit_keys
-- why: a unit whose targets are all of a single fire has one fire, whichever its records call it
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
