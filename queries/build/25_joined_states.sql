-- layer: joined
-- makes: joined.states
-- grain: a row a unit and day from which the register states it
-- reads: record.units, joined.units, joined.stated
-- why: what the register said of a unit, day by day, in whatever order its exports are read. An install day after the day of an export that stated an earlier one is no correction of it: another boiler has the serial since, unless a later export takes it back
create table joined.states as
with standing as (
    select
        stated.unit_key, stated.state_day, stated.file_key, stated.line, stated.by_period,
        given.installed as stated_installed, units.installed
    from joined.stated as stated
    inner join record.units as given on stated.file_key = given.file_key and stated.line = given.line
    inner join joined.units as units on stated.unit_key = units.unit_key
),

compared as (
    select
        unit_key, state_day, file_key, line, by_period, installed, stated_installed,
        lag(stated_installed ignore nulls) over earlier as installed_before,
        lag(if(stated_installed is null, null, state_day) ignore nulls) over earlier as stated_before,
        min(stated_installed) over (
            partition by unit_key order by state_day rows between current row and unbounded following
        ) as installed_since
    from standing
    window earlier as (partition by unit_key order by state_day)
),

numbered as (
    select
        unit_key, state_day, file_key, line, by_period, installed, stated_installed,
        count(*) filter (
            stated_installed > installed_before and installed_since > stated_before
            and stated_before > date '0001-01-01'
        ) over (partition by unit_key order by state_day) as install
    from compared
)

select
    unit_key, state_day, file_key, line, by_period, installed, install::integer as install,
    last_value(stated_installed ignore nulls) over (
        partition by unit_key, install order by state_day rows between unbounded preceding and unbounded following
    ) as install_day
from numbered
order by unit_key, state_day;
