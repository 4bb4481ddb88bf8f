-- layer: read
-- makes: how much of CO the sources of readings tell
-- grain: a row a source
-- reads: source.files, source.columns, joined.visits, joined.reading_values
-- why: a source that tells no CO, or no more, leaves all its units unjudged in what matters most; factory tests say nothing of a unit in the field
with told as (
    select
        visits.source, visits.day,
        coalesce(readings.co_ppm::varchar, readings.co_limit::varchar) is not null as has_co
    from joined.reading_values as readings
    inner join joined.visits as visits on readings.visit_key = visits.visit_key
    where visits.reason is distinct from 'factory test'
),

newest as (
    select source, max(day) filter (has_co) as last_day
    from told
    group by source
),

declaring as (
    select distinct files.source
    from source.columns as columns
    inner join source.files as files on columns.file_key = files.file_key
    where columns.field = 'co' and files.record = 'readings'
),

counted as (
    select
        told.source, count(*)::integer as readings, any_value(newest.last_day) as last_day,
        (count(*) filter (told.day > coalesce(newest.last_day, date '0001-01-01')))::integer as since
    from told
    inner join newest on told.source = newest.source
    group by told.source
)

select counted.source, counted.readings, counted.last_day, counted.since, declaring.source is not null as declared
from counted
left join declaring on counted.source = declaring.source
order by counted.source;
