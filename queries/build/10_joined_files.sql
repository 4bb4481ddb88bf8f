-- layer: joined
-- makes: joined.files
-- grain: a row a file that was read
-- reads: source.files
-- why: the order of exports, and whether a file's lines were known from their own days (the first export of a kind of record in a source group, and files of unknown day) or from the day of export
create table joined.files as
with read_files as (
    select file_key, name, record::record.kind as record, source, export_day
    from source.files
    where outcome = 'read' and record <> 'table'
),

ranked_by_export as (
    select
        file_key, record, source, export_day,
        row_number() over (order by export_day nulls last, name, file_key) as file_rank,
        export_day is null or export_day = min(export_day) over (partition by record, source) as known_by_own_day
    from read_files
)

select file_key, record, source, export_day, file_rank, known_by_own_day
from ranked_by_export
order by file_key;
