-- layer: read
-- makes: lines that wait for a person
-- grain: a row a line and reason; a row a cell set aside on a line that stands
-- reads: about.build, source.files, source.set_aside, source.cells_set_aside, record.visits, record.readings, record.units, record.answers, record.plants, joined.lines, joined.serials
-- why: what could not be read, what contradicts or repeats another line, and what names a unit that the register does not know
with lines_of_serials as (
    select file_key, line, serial, site, day from record.visits where wide
    union all
    select readings.file_key, readings.line, visits.serial, visits.site, visits.day
    from record.readings as readings
    inner join record.visits as visits on readings.visit_row = visits.visit_row
    union all
    select file_key, line, serial, null, null::date from record.units
    union all
    select file_key, line, serial, null, day from record.answers
    union all
    select file_key, line, serial, null, null::date from record.plants
),

lines_with_serial as materialized (
    select distinct file_key, line, serial, site, day
    from lines_of_serials
    where serial in (select written from joined.serials where how in ('not in register', 'second id of several'))
        or (file_key::bigint << 32) | line in (
            select (file_key::bigint << 32) | line from joined.lines where outcome in ('doubtful', 'set aside')
        )
),

ambiguous as (
    select serials.written, string_agg(files.name || ':' || units.line, ' and ' order by files.name, units.line) as lines
    from joined.serials as serials
    inner join record.units as units on serials.written = units.second_id
    inner join joined.lines as lines on units.file_key = lines.file_key and units.line = lines.line
    inner join source.files as files on units.file_key = files.file_key
    where serials.how = 'second id of several' and lines.outcome <> 'superseded'
        and lines.known_from <= (select as_of from about.build)
    group by serials.written
),

waiting as (
    select
        file_key, line, 'set aside' as outcome, column_name, value, reason, message, serial, day,
        null::integer as other_file_key, null::integer as other_line, raw, null as site
    from source.set_aside
    union all
    select
        lines.file_key, lines.line, lines.outcome::varchar, null, null, lines.reason,
        if(lines.reason = 'second-id-of-several', ambiguous.lines, null), named.serial, named.day,
        lines.other_file_key, lines.other_line, null, null
    from joined.lines as lines
    left join lines_with_serial as named on lines.file_key = named.file_key and lines.line = named.line
    left join ambiguous on named.serial = ambiguous.written
    where lines.outcome in ('doubtful', 'set aside')
    union all
    select
        cells.file_key, cells.line, if(cells.costs_reading, 'reading set aside', 'cell set aside'), cells.column_name, cells.value,
        cells.reason, cells.message, cells.serial, cells.day, null, null, null, null
    from source.cells_set_aside as cells
    inner join joined.lines as lines on cells.file_key = lines.file_key and cells.line = lines.line
    where lines.outcome = 'accepted' and lines.known_from <= (select as_of from about.build)
    union all
    select named.file_key, named.line, 'accepted', null, null, 'not-in-register', null, named.serial, named.day, null, null, null,
        named.site
    from lines_with_serial as named
    inner join joined.serials as serials on named.serial = serials.written
    inner join joined.lines as lines on named.file_key = lines.file_key and named.line = lines.line
    where serials.how in ('not in register', 'second id of several') and lines.outcome = 'accepted'
        and lines.known_from <= (select as_of from about.build)
)

select
    waiting.file_key, files.name as file, waiting.line, waiting.outcome, waiting.column_name, waiting.value, waiting.reason,
    waiting.message, waiting.serial, waiting.day, other.name || ':' || waiting.other_line as other, waiting.raw, waiting.site
from waiting
inner join source.files as files on waiting.file_key = files.file_key
left join source.files as other on waiting.other_file_key = other.file_key
order by waiting.file_key, waiting.line, waiting.outcome, waiting.column_name nulls first;
