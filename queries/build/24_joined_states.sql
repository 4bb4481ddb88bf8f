-- layer: joined
-- makes: joined.states
-- grain: a row a unit and day of export of the register
-- reads: record.units, joined.files, joined.register, joined.units
-- why: what the register said of a unit, day by day, in whatever order its exports are read; a register of unknown day comes first. An install day after the day of an export that stated an earlier one is no correction of it: another boiler has the serial since, unless a later export takes it back
create table joined.states as
with standing as (
    select
        units.unit_key, given.file_key, given.line, given.installed as stated_installed, units.installed,
        coalesce(register.export_day, date '0001-01-01') as state_day,
        row_number() over (
            partition by units.unit_key, register.export_day order by files.file_rank desc, given.line desc
        ) as newness
    from record.units as given
    inner join joined.register as register on given.file_key = register.file_key and given.line = register.line
    inner join joined.files as files on given.file_key = files.file_key
    inner join joined.units as units on given.serial = units.serial
    where register.outcome = 'accepted' and register.known_from <= getvariable('as_of')
),

compared as (
    select
        unit_key, state_day, file_key, line, installed, stated_installed,
        lag(stated_installed ignore nulls) over earlier as installed_before,
        lag(if(stated_installed is null, null, state_day) ignore nulls) over earlier as stated_before,
        min(stated_installed) over (
            partition by unit_key order by state_day rows between current row and unbounded following
        ) as installed_since
    from standing
    where newness = 1
    window earlier as (partition by unit_key order by state_day)
),

numbered as (
    select
        unit_key, state_day, file_key, line, installed, stated_installed,
        count(*) filter (
            stated_installed > installed_before and installed_since > stated_before
            and stated_before > date '0001-01-01'
        ) over (partition by unit_key order by state_day) as install
    from compared
)

select
    unit_key, state_day, file_key, line, installed, install::integer as install,
    last_value(stated_installed ignore nulls) over (
        partition by unit_key, install order by state_day rows between unbounded preceding and unbounded following
    ) as install_day
from numbered
order by unit_key, state_day;
