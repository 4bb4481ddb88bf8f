-- layer: record
-- makes: rows of record.analyzers
-- grain: a row a row of the view
-- reads: main.incoming
-- why: the Arrow view can be read once, so one statement takes it all
insert into record.analyzers (
    file_key, line, analyzer, calibrated, found_error, span_co2, found_co2, adjusted, key_hash, content_hash, marks
)
select
    incoming.file_key, incoming.line, incoming.analyzer, incoming.calibrated, incoming.found_error,
    incoming.span_co2, incoming.found_co2, incoming.adjusted,
    incoming.key_hash, incoming.content_hash, incoming.marks
from main.incoming;
