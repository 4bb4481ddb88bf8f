-- layer: joined
-- makes: joined.calibrations, joined.answers
-- grain: a row an analyzer and day of calibration, half-open in time; a row a unit, day and answer
-- reads: record.analyzers, joined.lines, record.answers, joined.serials, joined.units
-- why: a reading is taken with the analyzer as it was set at its latest calibration on or before the day; one that left it as found changes nothing; what persons decided about units that stood on a list
create table joined.calibrations as
with standing as (
    select given.analyzer, given.calibrated, arg_max(given.found_error, given.file_key) as found_error
    from record.analyzers as given
    inner join joined.lines as lines on given.file_key = lines.file_key and given.line = lines.line
    where lines.outcome = 'accepted' and lines.known_from <= getvariable('as_of') and given.calibrated is not null
        and given.adjusted is distinct from 'no'
    group by given.analyzer, given.calibrated
)

select
    analyzer, calibrated, lead(calibrated) over (partition by analyzer order by calibrated) as until_day, found_error
from standing
order by analyzer, calibrated;

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
