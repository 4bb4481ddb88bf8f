-- layer: joined
-- makes: joined.serials
-- grain: a row a serial as some record writes it
-- reads: source.set_aside, source.unused_co, record.visits, record.units, record.plants, record.answers, record.model_lines, joined.register
-- why: a serial is matched exactly, else with letter case folded where exactly one serial of the register fits, else as the second id of exactly one unit; a second id of several units names none of them, and look-alikes are never merged
create table joined.serials as
with serials_in_register as (
    select distinct units.serial
    from record.units as units
    inner join joined.register as register on units.file_key = register.file_key and units.line = register.line
    where register.known_from <= getvariable('as_of')
),

one_in_any_case as (
    select lower(serial) as folded, min(serial) as serial
    from serials_in_register
    group by lower(serial)
    having count(*) = 1
),

second_ids as (
    select
        units.second_id, min(units.serial) as serial, count(distinct units.serial) > 1 as several
    from record.units as units
    inner join joined.register as register on units.file_key = register.file_key and units.line = register.line
    where register.known_from <= getvariable('as_of') and register.outcome <> 'superseded' and units.second_id is not null
    group by units.second_id
),

written as (
    select serial from record.visits
    union
    select serial from record.units
    union
    select serial from record.plants
    union
    select serial from record.answers
    union
    select serial from record.model_lines
    union
    select serial from source.unused_co
    union
    select serial from source.set_aside
),

matched as (
    select
        written.serial as written,
        coalesce(exact.serial, folded.serial, if(seconds.several, null, seconds.serial), written.serial) as serial,
        case
            when exact.serial is not null then 'exact'
            when folded.serial is not null then 'letter case'
            when seconds.several then 'second id of several'
            when seconds.serial is not null then 'second id'
            else 'not in register'
        end as how
    from written
    left join serials_in_register as exact on written.serial = exact.serial
    left join one_in_any_case as folded on lower(written.serial) = folded.folded
    left join second_ids as seconds on written.serial = seconds.second_id
    where written.serial is not null
)

select written, serial, how
from matched
order by written;
