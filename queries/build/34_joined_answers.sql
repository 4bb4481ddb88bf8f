-- layer: joined
-- makes: joined.answers
-- grain: a row a unit, day and answer
-- reads: record.answers, joined.lines, joined.serials, joined.units
-- why: what persons decided about units that stood on a list
create table joined.answers as
with standing as (
    select units.unit_key, given.day, given.answer, max(given.until) as until_day
    from record.answers as given
    inner join joined.lines as lines on given.file_key = lines.file_key and given.line = lines.line
    inner join joined.serials as serials on given.serial = serials.written
    inner join joined.units as units on serials.serial = units.serial
    where lines.outcome = 'accepted' and lines.known_from <= getvariable('as_of')
    group by units.unit_key, given.day, given.answer
)

select unit_key, day, answer, until_day
from standing
order by unit_key, day, answer;
