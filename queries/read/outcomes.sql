-- layer: read
-- makes: lines that another line replaces, repeats or contradicts
-- grain: a row a line
-- reads: source.files, joined.lines
-- why: nothing that was exported goes without a trace; each of these lines names the one that stands
select
    files.name as file, lines.line, lines.outcome::varchar as outcome, lines.reason,
    other.name || ':' || lines.other_line as other
from joined.lines as lines
inner join source.files as files on lines.file_key = files.file_key
left join source.files as other on lines.other_file_key = other.file_key
where lines.outcome not in ('accepted', 'set aside')
order by files.name, lines.line;
