-- layer: joined
-- makes: joined.calibrations
-- grain: a row an analyzer and day of calibration, half-open in time
-- reads: record.analyzers, joined.lines
-- why: a reading is taken with the analyzer as it was set at its latest calibration on or before the day
create table joined.calibrations as
with standing as (
    select given.analyzer, given.calibrated, arg_max(given.found_error, given.file_key) as found_error
    from record.analyzers as given
    inner join joined.lines as lines on given.file_key = lines.file_key and given.line = lines.line
    where lines.outcome = 'accepted' and lines.known_from <= getvariable('as_of') and given.calibrated is not null
    group by given.analyzer, given.calibrated
)

select
    analyzer, calibrated, lead(calibrated) over (partition by analyzer order by calibrated) as until_day, found_error
from standing
order by analyzer, calibrated;
