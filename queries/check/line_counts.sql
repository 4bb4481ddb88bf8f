-- layer: check
-- makes: files whose lines do not add up
-- grain: a row a file
-- reads: source.files, joined.lines
-- why: every line of a file that was read ends in exactly one outcome
with outcomes as (
    select file_key, count(*) as parsed
    from joined.lines
    group by file_key
)

select
    files.name, files.lines, files.header, files.blank, files.skipped, files.set_aside, files.parsed, files.joined,
    coalesce(outcomes.parsed, 0) as outcomes
from source.files as files
left join outcomes on files.file_key = outcomes.file_key
where
    (
        files.outcome = 'read' and (
            files.lines is distinct from files.header + files.blank + files.skipped + files.set_aside + files.parsed + coalesce(files.joined, 0)
            or files.parsed is distinct from coalesce(outcomes.parsed, 0)
        )
    )
    or (files.outcome <> 'read' and outcomes.parsed > 0)
order by files.file_key;
