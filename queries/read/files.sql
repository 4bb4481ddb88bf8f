-- layer: read
-- makes: files with the outcomes of their lines
-- grain: a row a file
-- reads: source.files, record.readings, joined.lines
-- why: every line of every file ends in one outcome, and the counts add up
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
)

select
    files.file_key, files.name, files.bytes, files.digest, files.layout, files.record, files.source, files.form,
    files.export_day, files.outcome, files.reason, files.message, files.lines, files.header, files.blank, files.skipped,
    files.set_aside + coalesce(outcomes.set_aside, 0) as set_aside, files.parsed, files.joined, outcomes.accepted, outcomes.superseded, outcomes.duplicate, outcomes.doubtful,
    readings.readings,
    if(files.record = 'readings', files.parsed - coalesce(readings.lines_with_gas, 0), 0) as without_gas
from source.files as files
left join outcomes on files.file_key = outcomes.file_key
left join readings on files.file_key = readings.file_key
order by files.file_key;
