-- layer: joined
-- makes: joined.given
-- grain: a row a parsed line of a file
-- reads: record.visits, record.readings, record.units, record.model_lines, record.analyzers, record.plants, record.answers, joined.files
-- why: lines of every kind side by side; place orders them by export, file and line; known_from is the day a line became known
create view joined.given as
with lines_with_own_day as (
    select file_key, line, key_hash, content_hash, day as own_day
    from record.visits
    where wide
    union all
    select readings.file_key, readings.line, readings.key_hash, readings.content_hash, visits.day
    from record.readings as readings
    inner join record.visits as visits on readings.visit_row = visits.visit_row
    where not visits.wide
    union all
    select file_key, line, key_hash, content_hash, coalesce(valid_from, installed)
    from record.units
    union all
    select file_key, line, key_hash, content_hash, valid_from
    from record.model_lines
    union all
    select file_key, line, key_hash, content_hash, calibrated
    from record.analyzers
    union all
    select file_key, line, key_hash, content_hash, null
    from record.plants
    union all
    select file_key, line, key_hash, content_hash, day
    from record.answers
),

placed as (
    select
        given.file_key, given.line, files.record, given.key_hash, given.content_hash, files.export_day,
        (files.file_rank << 32) | given.line as place,
        case when files.known_by_own_day then coalesce(given.own_day, date '0001-01-01') else files.export_day end as known_from
    from lines_with_own_day as given
    inner join joined.files as files on given.file_key = files.file_key
)

select file_key, line, record, key_hash, content_hash, export_day, place, known_from
from placed;
