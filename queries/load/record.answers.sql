-- layer: record
-- makes: rows of record.answers
-- grain: a row a row of the view
-- reads: main.incoming
-- why: the Arrow view can be read once, so one statement takes it all
insert into record.answers (
    file_key, line, serial, day, answer, until, key_hash, content_hash, marks
)
select
    incoming.file_key, incoming.line, incoming.serial, incoming.day, incoming.answer, incoming.until,
    incoming.key_hash, incoming.content_hash, incoming.marks
from main.incoming;
