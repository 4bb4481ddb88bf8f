-- layer: read
-- makes: files with the outcomes of their lines
-- grain: a row a file
-- reads: source.files, source.columns, source.cells_set_aside, record.readings, joined.lines
-- why: every line of every file ends in one outcome, and the counts add up; cells set aside are counted beside them, on lines that stand
with outcomes as (
    select
        file_key,
        count(*) filter (outcome = 'accepted') as accepted,
        count(*) filter (outcome = 'superseded') as superseded,
        count(*) filter (outcome = 'duplicate') as duplicate,
        count(*) filter (outcome = 'doubtful') as doubtful,
        count(*) filter (outcome = 'set aside') as set_aside
    from joined.lines
    group by file_key
),

readings as (
    select
        file_key, count(*) as readings,
        count(distinct line) filter (coalesce(co2_percent, o2_percent) is not null) as lines_with_gas
    from record.readings
    group by file_key
),

cells as (
    select
        cells.file_key, count(*) as cells, count(distinct cells.line) as lines,
        count(distinct cells.line) filter (cells.costs_reading) as costly_lines
    from source.cells_set_aside as cells
    inner join joined.lines as lines on cells.file_key = lines.file_key and cells.line = lines.line
    where lines.outcome = 'accepted'
    group by cells.file_key
),

worst_columns as (
    select
        file_key, arg_max(header, cells_set_aside / cells) as header, max(cells_set_aside / cells) as share
    from source.columns
    where cells_set_aside >= 5
    group by file_key
)

select
    files.file_key, files.name, files.bytes, files.digest, files.layout, files.record, files.source, files.form,
    files.export_day, files.outcome, files.reason, files.message, files.lines, files.header, files.blank, files.skipped,
    files.set_aside + coalesce(outcomes.set_aside, 0) as set_aside, files.parsed, files.joined, outcomes.accepted, outcomes.superseded, outcomes.duplicate, outcomes.doubtful,
    readings.readings,
    if(files.record = 'readings', files.parsed - coalesce(readings.lines_with_gas, 0), 0) as without_gas,
    cells.cells as cells_set_aside, cells.lines as lines_with_cells, cells.costly_lines as lines_with_readings_lost,
    worst.header as worst_column, worst.share as worst_share
from source.files as files
left join outcomes on files.file_key = outcomes.file_key
left join readings on files.file_key = readings.file_key
left join cells on files.file_key = cells.file_key
left join worst_columns as worst on files.file_key = worst.file_key
order by files.file_key;
