-- layer: joined
-- makes: joined.unused_co, joined.damaged_units
-- grain: a row a CO that stands on a line of readings which takes no part; a row a unit of which the newest register has a line that was set aside
-- reads: source.files, source.set_aside, source.unused_co, record.visits, record.readings, joined.files, joined.serials, joined.lines
-- why: a dangerous CO is not lost with its line. A line exported again word for word counts once, from the newest export, its day no later than the first; one whose reading a later export of its source states is corrected. A line that repeats another's values adds nothing. A unit is not lost with its line of the register; a line whose cells cannot be told apart names none
create table joined.unused_co as
with seen as (
    select
        seen.file_key, seen.line, seen.part, seen.serial, seen.visit_id, seen.day, seen.fire, seen.condition, seen.co_text,
        seen.co_ppm, seen.co_limit, seen.co_basis, seen.co_reference_o2, seen.o2_percent, seen.reason,
        files.source, files.file_rank, files.export_day,
        min(coalesce(seen.day, files.export_day)) over same as latest_day, row_number() over newest_first as newness
    from source.unused_co as seen
    inner join joined.files as files on seen.file_key = files.file_key
    where if(files.known_by_own_day, coalesce(seen.day, files.export_day, date '0001-01-01'), files.export_day)
        <= getvariable('as_of')
    window
        same as (partition by files.source, seen.line_hash, seen.part),
        newest_first as (partition by files.source, seen.line_hash, seen.part order by files.file_rank desc, seen.line)
),

stated_later as (
    select distinct seen.file_key, seen.line, seen.part
    from seen
    inner join joined.files as files on seen.source = files.source and files.file_rank > seen.file_rank
    inner join record.visits as visits on files.file_key = visits.file_key and lower(seen.serial) = lower(visits.serial)
    inner join record.readings as readings on visits.visit_row = readings.visit_row
    inner join joined.lines as lines on readings.file_key = lines.file_key and readings.line = lines.line
    where seen.newness = 1 and lines.outcome = 'accepted' and lines.known_from <= getvariable('as_of')
        and coalesce(seen.visit_id = visits.visit_id, seen.day = visits.day, false)
        and (
            seen.fire = readings.fire::varchar and coalesce(seen.condition = readings.condition::varchar, true)
            or seen.co_ppm = readings.co_ppm
        )
),

taking_no_part as (
    select
        seen.file_key, seen.line, seen.part, seen.serial, seen.day, seen.latest_day, seen.fire, seen.condition, seen.co_text,
        seen.co_ppm, seen.co_limit, seen.co_basis, seen.co_reference_o2, seen.o2_percent, seen.reason, seen.source
    from seen
    anti join stated_later as later
        on seen.file_key = later.file_key and seen.line = later.line and seen.part = later.part
    where seen.newness = 1
    union all
    select
        readings.file_key, readings.line, readings.part, visits.serial, visits.day, visits.day, readings.fire::varchar,
        readings.condition::varchar, null, readings.co_ppm, readings.co_limit::varchar, readings.co_basis::varchar,
        readings.co_reference_o2, readings.o2_percent, lines.reason, files.source
    from joined.lines as lines
    inner join record.readings as readings on lines.file_key = readings.file_key and lines.line = readings.line
    inner join record.visits as visits on readings.visit_row = visits.visit_row
    inner join joined.files as files on readings.file_key = files.file_key
    where lines.reason in ('before-install', 'second-id-of-several', 'conflicting-duplicate') and lines.known_from <= getvariable('as_of')
        and coalesce(readings.co_ppm::varchar, readings.co_limit::varchar) is not null
)

select
    given.file_key, given.line, given.part, coalesce(serials.serial, given.serial) as serial, given.source, given.day,
    given.latest_day, given.fire, given.condition, given.co_text, given.co_ppm, given.co_limit, given.co_basis,
    given.co_reference_o2, given.o2_percent, given.reason
from taking_no_part as given
left join joined.serials as serials on given.serial = serials.written
order by given.file_key, given.line, given.part;

create table joined.damaged_units as
with newest_registers as (
    select ranked.file_key from joined.files as ranked inner join source.files as files on ranked.file_key = files.file_key
    where ranked.record = 'units' and coalesce(ranked.export_day <= getvariable('as_of'), true)
    qualify ranked.export_day is not distinct from max(ranked.export_day) over (partition by files.layout)
)

select distinct serials.serial from source.set_aside as lines
inner join newest_registers as registers on lines.file_key = registers.file_key
inner join joined.serials as serials on lines.serial = serials.written
where coalesce(lines.column_name, '') <> ''
order by serials.serial;
