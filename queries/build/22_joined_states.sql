-- layer: joined
-- makes: joined.states
-- grain: a row a unit and day of export of the register
-- reads: record.units, joined.files, joined.register, joined.units
-- why: what the register said of a unit, day by day, in whatever order its exports are read; a register of unknown day comes first
create table joined.states as
with standing as (
    select
        units.unit_key, given.file_key, given.line, units.installed,
        coalesce(register.export_day, date '0001-01-01') as state_day,
        row_number() over (
            partition by units.unit_key, register.export_day order by files.file_rank desc, given.line desc
        ) as newness
    from record.units as given
    inner join joined.register as register on given.file_key = register.file_key and given.line = register.line
    inner join joined.files as files on given.file_key = files.file_key
    inner join joined.units as units on given.serial = units.serial
    where register.outcome = 'accepted' and register.known_from <= getvariable('as_of')
)

select unit_key, state_day, file_key, line, installed
from standing
where newness = 1
order by unit_key, state_day;
