-- layer: record
-- makes: rows of record.analyzers
-- grain: a row a row of the view
-- reads: main.incoming
-- why: the Arrow view can be read once, so one statement takes it all
insert into record.analyzers (
    file_key, line, analyzer, calibrated, found_error, key_hash, content_hash, marks
)
select
    incoming.file_key, incoming.line, incoming.analyzer, incoming.calibrated, incoming.found_error,
    incoming.key_hash, incoming.content_hash, incoming.marks
from main.incoming;
