-- layer: joined
-- makes: joined.early
-- grain: a row a standing line of readings that no unit can have: taken more than 90 days before the install day, or under a second id of several units
-- reads: record.visits, record.readings, record.units, joined.settled, joined.register, joined.serials
-- why: a month or a year alone counts from its first day; a factory test comes before the install day and a start-up may come a little before; what comes earlier is a wrong day or a wrong serial, unless an export of the register states an earlier install of the serial, which was in force then
create table joined.early as
with install_days as (
    select units.serial, min(units.installed - case
        when contains(units.marks, 'installed:year') then 182
        when contains(units.marks, 'installed:month') then 15
        else 0
    end) as installed
    from record.units as units
    inner join joined.register as register on units.file_key = register.file_key and units.line = register.line
    where register.outcome = 'accepted' and register.known_from <= getvariable('as_of')
    group by units.serial
),

early_visits as (
    select visits.visit_row, visits.file_key, visits.line, visits.wide, 'before-install' as reason
    from record.visits as visits
    inner join joined.serials as serials on visits.serial = serials.written
    inner join install_days on serials.serial = install_days.serial
    where visits.day < install_days.installed - 90 and visits.reason is distinct from 'factory test'
    union all
    select visits.visit_row, visits.file_key, visits.line, visits.wide, 'second-id-of-several'
    from record.visits as visits
    inner join joined.serials as serials on visits.serial = serials.written
    where serials.how = 'second id of several'
),

early_lines as (
    select readings.file_key, readings.line, early_visits.reason
    from record.readings as readings
    inner join early_visits on readings.visit_row = early_visits.visit_row
    union
    select file_key, line, reason from early_visits where wide
)

select early_lines.file_key, early_lines.line, early_lines.reason
from early_lines
inner join joined.settled as settled on early_lines.file_key = settled.file_key and early_lines.line = settled.line
where settled.outcome = 'accepted' and settled.known_from <= getvariable('as_of')
order by early_lines.file_key, early_lines.line;
