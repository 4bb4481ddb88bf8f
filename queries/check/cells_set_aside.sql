-- layer: check
-- makes: files whose cells set aside are not those counted, or stand on lines that do not
-- grain: a row a file
-- reads: source.files, source.cells_set_aside, joined.lines
-- why: a cell that could not be read is kept with its reason, on a line that was parsed without it
with kept as (
    select cells.file_key, count(*) as cells, count(*) filter (lines.line is null) as without_line
    from source.cells_set_aside as cells
    left join joined.lines as lines on cells.file_key = lines.file_key and cells.line = lines.line
    group by cells.file_key
)

select files.name, files.cells_set_aside, coalesce(kept.cells, 0) as kept, coalesce(kept.without_line, 0) as without_line
from source.files as files
left join kept on files.file_key = kept.file_key
where files.outcome = 'read'
    and (coalesce(files.cells_set_aside, 0) <> coalesce(kept.cells, 0) or kept.without_line > 0)
order by files.file_key;
