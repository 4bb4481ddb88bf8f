-- layer: check
-- makes: standing lines of readings that did not reach a unit's history
-- grain: a row a line
-- reads: about.build, record.readings, joined.lines, joined.reading_values
-- why: every accepted reading has a visit and a unit
with standing as (
    select readings.file_key, readings.line, readings.part
    from record.readings as readings
    inner join joined.lines as lines on readings.file_key = lines.file_key and readings.line = lines.line
    cross join about.build as build
    where lines.outcome = 'accepted' and lines.known_from <= build.as_of
)

select standing.file_key, standing.line, standing.part
from standing
anti join joined.reading_values as readings
    on standing.file_key = readings.file_key and standing.line = readings.line and standing.part = readings.part
order by standing.file_key, standing.line, standing.part;
