-- layer: joined
-- makes: joined.stated
-- grain: a row a unit and day from which a line of the register states it
-- reads: record.units, joined.files, joined.register, joined.units
-- why: a line is the state of the day of its export (a register of unknown day comes first), or of a period of its own: of the newest export that has periods of the unit, the line with the latest start is in force on a day, and where it ends one that still lasts
create table joined.stated as
with standing as (
    select
        units.unit_key, given.file_key, given.line, given.valid_from, given.valid_to, files.file_rank, files.source,
        register.export_day
    from record.units as given
    inner join joined.register as register on given.file_key = register.file_key and given.line = register.line
    inner join joined.files as files on given.file_key = files.file_key
    inner join joined.units as units on given.serial = units.serial
    where register.outcome = 'accepted' and register.known_from <= getvariable('as_of')
        and coalesce(given.valid_from <= getvariable('as_of'), true)
),

periods as (
    select unit_key, file_key, line, valid_from, valid_to, file_rank
    from standing
    where valid_from is not null
    qualify export_day is not distinct from max(export_day) over (partition by unit_key, source)
),

turning_days as (
    select unit_key, valid_from as day from periods
    union
    select unit_key, valid_to + 1 from periods where valid_to < getvariable('as_of')
),

on_each_day as (
    select
        unit_key, coalesce(export_day, date '0001-01-01') as state_day, file_key, line, file_rank, false as by_period,
        null::date as valid_from
    from standing
    where valid_from is null
    union all
    select days.unit_key, days.day, periods.file_key, periods.line, periods.file_rank, true, periods.valid_from
    from turning_days as days
    inner join periods
        on days.unit_key = periods.unit_key and days.day >= periods.valid_from
        and days.day <= coalesce(periods.valid_to, date '9999-12-31')
)

select unit_key, state_day, file_key, line, by_period
from on_each_day
qualify row_number() over (
    partition by unit_key, state_day order by valid_from desc nulls last, file_rank desc, line desc
) = 1
order by unit_key, state_day;
