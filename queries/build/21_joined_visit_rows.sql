-- layer: joined
-- makes: joined.visit_rows
-- grain: a row a visit row with a standing line
-- reads: record.visits, record.readings, joined.files, joined.lines, joined.serials
-- why: a visit exported several times is one visit, described by the row of its newest export that still stands
create table joined.visit_rows as
with lines_apart as materialized (
    select file_key, line
    from joined.lines
    where record in ('readings', 'visits') and (outcome <> 'accepted' or known_from > getvariable('as_of'))
),

standing as (
    select readings.visit_row
    from record.readings as readings
    anti join lines_apart on readings.file_key = lines_apart.file_key and readings.line = lines_apart.line
    union
    select visits.visit_row
    from record.visits as visits
    anti join lines_apart on visits.file_key = lines_apart.file_key and visits.line = lines_apart.line
    where visits.wide
),

identified as materialized (
    select
        visits.visit_row, serials.serial, serials.how, files.source, (files.file_rank << 32) | visits.line as place,
        hash(serials.serial, files.source, visits.visit_id is null, coalesce(visits.visit_id, visits.day::varchar)) as visit_hash
    from record.visits as visits
    semi join standing on visits.visit_row = standing.visit_row
    inner join joined.files as files on visits.file_key = files.file_key
    inner join joined.serials as serials on visits.serial = serials.written
),

newest_rows as (
    select visit_hash, arg_max(visit_row, place) as visit_row
    from identified
    group by visit_hash
)

select identified.visit_row, identified.visit_hash, identified.serial, identified.how, identified.source,
    newest_rows.visit_row is not null as describes
from identified
left join newest_rows on identified.visit_row = newest_rows.visit_row
order by identified.visit_row;
