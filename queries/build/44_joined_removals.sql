-- layer: joined
-- makes: joined.removals
-- grain: a row a unit that was taken out and installed again
-- reads: record.units, joined.files, joined.register, joined.units
-- why: such a unit starts anew: nothing of before its removal speaks for it. One that an earlier register called removed, and the newest neither installs nor puts into service later, was never taken out
create table joined.removals as
with removed as (
    select given.serial, max(coalesce(if(given.removed <= getvariable('as_of'), given.removed, null), given.state_from, files.export_day)) as removed_day
    from record.units as given
    inner join joined.register as register on given.file_key = register.file_key and given.line = register.line
    inner join joined.files as files on given.file_key = files.file_key
    where register.outcome = 'accepted' and (given.state = 'removed' or given.removed <= getvariable('as_of')) and register.known_from <= getvariable('as_of')
    group by given.serial
)

select units.unit_key, removed.removed_day
from removed
inner join joined.units as units on removed.serial = units.serial
where
    units.state is distinct from 'removed'
    and (units.installed >= removed.removed_day or units.state_from > removed.removed_day)
order by units.unit_key;
