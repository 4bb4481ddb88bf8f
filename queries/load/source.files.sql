-- layer: source
-- makes: rows of source.files
-- grain: a row a row of the view
-- reads: main.incoming
-- why: every file found has one line here, read or not
insert into source.files (
    file_key, name, bytes, digest, layout, record, source, form, export_day, outcome, reason, message, lines,
    header, blank, skipped, set_aside, parsed, joined, cells_set_aside
)
select
    incoming.file_key, incoming.name, incoming.bytes, incoming.digest, incoming.layout, incoming.record,
    incoming.source, incoming.form, incoming.export_day, incoming.outcome, incoming.reason, incoming.message,
    incoming.lines, incoming.header, incoming.blank, incoming.skipped, incoming.set_aside, incoming.parsed, incoming.joined,
    incoming.cells_set_aside
from main.incoming;
