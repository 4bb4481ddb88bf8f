-- layer: check
-- makes: files whose lines set aside are not those counted, or were parsed as well
-- grain: a row a file
-- reads: source.files, source.set_aside, joined.lines
-- why: a line that could not be read is kept with its reason, and counts once
with kept as (
    select file_key, count(distinct line) as lines
    from source.set_aside
    group by file_key
),

parsed_as_well as (
    select aside.file_key, count(distinct aside.line) as lines
    from source.set_aside as aside
    inner join joined.lines as lines on aside.file_key = lines.file_key and aside.line = lines.line
    group by aside.file_key
)

select files.name, files.set_aside, coalesce(kept.lines, 0) as kept, coalesce(parsed_as_well.lines, 0) as parsed_as_well
from source.files as files
left join kept on files.file_key = kept.file_key
left join parsed_as_well on files.file_key = parsed_as_well.file_key
where files.outcome = 'read'
    and (files.set_aside is distinct from coalesce(kept.lines, 0) or parsed_as_well.lines > 0)
order by files.file_key;
